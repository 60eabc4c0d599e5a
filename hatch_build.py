"""Build hook: the wheel contains what the page takes from others, which is never committed."""

import importlib.util
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class VendoredPage(BuildHookInterface):  # type: ignore[misc]
    """Fetch the page's packages before the wheel is put together."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Run tools/vendor_page.py and name its files as part of the wheel, although git ignores them."""
        root = Path(self.root)
        tool = root / "tools" / "vendor_page.py"
        spec = importlib.util.spec_from_file_location("vendor_page", tool)
        if spec is None or spec.loader is None:
            raise FileNotFoundError(tool)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        files = module.vendor(root)
        build_data["artifacts"] += [f"/{file.relative_to(root).as_posix()}" for file in files]
