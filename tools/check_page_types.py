"""Check the types of the page's scripts: plain JavaScript, its types in comments, read by the compiler of TypeScript.

Usage: python tools/check_page_types.py

The compiler and uPlot's types are fetched as package-lock.json pins them (`tools/vendor_page.py --tests`); nothing is
compiled or written. Settings and the declarations of what the page takes from others: tools/page_types.
"""

import subprocess
import sys

from vendor_page import ROOT, node, vendor

SETTINGS = ROOT / "tools" / "page_types"
COMPILER = ROOT / "node_modules" / "typescript" / "lib" / "tsc.js"


def main() -> int:
    """Fetch what is missing and check; the compiler's exit code."""
    vendor(for_tests=True)
    if not COMPILER.is_file():
        print(f"{COMPILER.relative_to(ROOT)} is missing, so the page's types were not checked")
        return 1
    with node() as program:
        return subprocess.run(
            [program, COMPILER, "-p", SETTINGS, "--pretty", "false"], cwd=ROOT, check=False
        ).returncode


if __name__ == "__main__":
    sys.exit(main())
