"""The recipe for a page works as it is written: followed on a copy of the project, the copy serves the new room."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from bikewright.quantities import CATALOGUE
from tests.architecture.test_recipes import follow
from tests.browser.conftest import PROGRAM, TOKEN, Desk, Server, free_port

pytestmark = pytest.mark.browser


def test_a_page(window: Callable[..., Desk], axe: str, tmp_path: Path) -> None:
    home = follow("page.md", tmp_path).home
    port = free_port()
    command = [sys.executable, "-c", PROGRAM, str(home / "examples" / "wherry"), str(port), TOKEN]
    environment = {**os.environ, "PYTHONPATH": str(home / "src")}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            assert process.stdout is not None and process.stdout.readline().strip() == "ready"
            desk = window(Server(home / "examples" / "wherry", port, process))
            desk.look("words")
            desk.page.wait_for_selector("table")
            shown = desk.page.locator("main tbody th").all_inner_texts()
            assert shown == [quantity.label for quantity in CATALOGUE.values()]
            assert desk.page.locator("nav a[aria-current=page]").inner_text() == "Words"
            assert desk.wrong == []
        finally:
            process.terminate()
