"""A process that is killed while it saves leaves the old file or the new one, whole."""

import random
import signal
import subprocess
import sys
import time

import pytest

from bikewright.model.files import read_bike
from tests.model.small_bike import TEXTS, lay

KILLS = 20
PADDING = "# a long note, so that writing takes its time\n" * 8000

WRITER = """
import sys
from pathlib import Path
from bikewright.model.writing import save_text, write_changes
folder, base = Path(sys.argv[1]), Path(sys.argv[1], "bike.toml").read_text(encoding="utf-8")
texts = [base.replace("reach_mm = 430 ", f"reach_mm = {reach} ") for reach in range(400, 500)]
print("ready", flush=True)
while True:
    for text in texts:
        save_text(folder / "bike.toml", text)
        print("saved", flush=True)
"""

CHANGER = """
import sys
from bikewright.model.writing import write_changes
write_changes(sys.argv[1], ["sizes.S.reach_mm=431"])
print("ready", flush=True)
reach = 400
while True:
    reach = reach + 1 if reach < 499 else 400
    write_changes(sys.argv[1], [f"sizes.S.reach_mm={reach}"])
    print("saved", flush=True)
"""


def killed_after(code, folder, seconds):
    """Run a writer, kill it some time after it has begun, and tell how often it had saved."""
    process = subprocess.Popen([sys.executable, "-c", code, str(folder)], stdout=subprocess.PIPE, text=True)
    assert process.stdout.readline().strip() == "ready"
    time.sleep(seconds)
    process.send_signal(signal.SIGKILL)
    told, _ = process.communicate()
    assert process.returncode == -signal.SIGKILL
    return told.count("saved")


@pytest.mark.fault
@pytest.mark.parametrize(
    ("code", "kills", "padding", "longest"),
    [(WRITER, KILLS - 5, PADDING, 0.12), (CHANGER, 5, "", 0.3)],
    ids=["saving", "changing"],
)
def test_a_killed_writer_leaves_a_whole_file(tmp_path, code, kills, padding, longest):
    """The file must be byte for byte one of those that the writer saves, and the bike must read."""
    rng = random.Random(kills)
    before = TEXTS["bike.toml"] + padding
    head, tail = before.split("reach_mm = 430 ", 1)
    saves = halves = 0
    for _ in range(kills):
        lay(tmp_path, {"bike.toml": before})
        saves += killed_after(code, tmp_path, rng.uniform(0.0, longest))
        halves += len(list(tmp_path.glob(".bike.toml.*")))
        now = (tmp_path / "bike.toml").read_text(encoding="utf-8")
        assert now.startswith(head + "reach_mm = 4")
        assert now.endswith(tail)
        assert len(now) == len(before)
        assert 400 <= read_bike(tmp_path).frame.size("S").reach_mm < 500
        for half in tmp_path.glob(".bike.toml.*"):
            half.unlink()
    assert saves > kills / 2  # the kills fell among saves ...
    assert halves > 0 or not padding  # ... and some of them into the middle of one
    print(f"{saves} saves, {halves} of {kills} kills in the middle of one")


@pytest.mark.fault
def test_what_a_killed_writer_leaves_beside_the_file_is_no_part_of_the_bike(tmp_path):
    """A kill can leave the half of a new file; reading and saving pass it over."""
    lay(tmp_path)
    for place in (tmp_path, tmp_path / "parts"):
        (place / ".rest.toml.abc.new").write_text("half of", encoding="utf-8")
    assert len(read_bike(tmp_path).builds) == 3
