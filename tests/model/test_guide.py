"""What the guide shows is what the program reads and does: its blocks are read, its commands are run."""

import re
import shlex
import tomllib

import pytest
from click.testing import CliRunner

from bikewright.interfaces.cli.main import cli
from bikewright.model.files import read_bike
from tests.architecture.source_tree import ROOT
from tests.model.small_bike import TEXTS, lay

GUIDE = ROOT / "docs" / "guide"


def blocks(page, kind):
    """The fenced blocks of one kind on a page."""
    return re.findall(rf"^```{kind}\n(.*?)^```$", (GUIDE / page).read_text(encoding="utf-8"), re.M | re.S)


def test_every_toml_block_of_the_pages_is_toml():
    for page in ("model-files.md", "frame-in-15-minutes.md"):
        found = blocks(page, "toml")
        assert found
        for text in found:
            tomllib.loads(text)


def test_the_blocks_of_the_reference_page_make_a_bike(tmp_path):
    """Frame, linkage, chips, parts, riders, brief, builds, parts by size and a revision, as the page writes them."""
    head, linkage, more, wide, parts, riders, brief, builds, by_size, revision = blocks("model-files.md", "toml")
    datum = '[datum]\nshock = "coil-210-x-55"\nfork = "single-crown-150"\nfront_radius_mm = 372\nrear_radius_mm = 372\n'
    row = "reach_mm = 455\nstack_mm = 620\nhead_angle_deg = 64.5\n"
    sizes = "".join(f"[sizes.{size}]\n{row}" for size in ("M", "L", "XL"))
    more = more.replace('"rocker"', '"swingarm"')  # the page's own example has a linkage without a rocker
    texts = {
        "bike.toml": head + datum + sizes + linkage + more + wide,
        "parts/suspension.toml": "format = 1\n" + parts,
        "riders.toml": "format = 1\n" + riders,
        "brief.toml": "format = 1\n" + brief,
        "builds.toml": "format = 1\n" + builds + by_size,
        "parts/sold.toml": "format = 1\n[seatpost.dropper-125]\ndrop_mm = 125\n[crank.crank-165]\nlength_mm = 165\n",
        "parts/rest.toml": TEXTS["parts/rest.toml"],
    }
    bike = read_bike(lay(tmp_path / "quillback", texts))
    assert bike.build("race").chips[0].position == "high"
    assert bike.build("race").parts.shock.stroke_mm == 52.5
    assert bike.build("race").parts.shock.spring.name == "blue"
    small = bike.build("race").in_size("M")
    assert (small.parts.seatpost.drop_mm, small.parts.crank.length_mm, small.settings.stem_spacers_mm) == (125, 165, 5)
    assert bike.frame.linkage.idlers[0].teeth == 16

    (tmp_path / "revision").mkdir()
    revision = revision.replace("pins.rocker]\nz_mm = 264", "pins.main]\nz_mm = 72")
    (tmp_path / "revision/bike.toml").write_text(revision, encoding="utf-8")
    (tmp_path / "quillback/builds.toml").unlink()
    again = read_bike(tmp_path / "revision").frame
    assert (again.revision, again.linkage.chips, again.linkage.pin("main").z_mm) == ("C", (), 72)


def test_the_quarter_of_an_hour_goes_as_the_page_says(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    chart, pivots = blocks("frame-in-15-minutes.md", "text")
    (tmp_path / "chart.csv").write_text(chart, encoding="utf-8")
    (tmp_path / "pivots.csv").write_text(pivots, encoding="utf-8")
    lay_down, look, change = blocks("frame-in-15-minutes.md", "sh")
    (datum,) = blocks("frame-in-15-minutes.md", "toml")

    run(lay_down)
    path = tmp_path / "my-bike/bike.toml"
    stated = datum.removeprefix("[datum]\n")
    path.write_text(re.sub(r"(?m)^fork_offset_mm.*\n", stated, path.read_text(encoding="utf-8")), encoding="utf-8")
    assert read_bike("my-bike").frame.datum.fork_offset_mm == 44
    table = run(look)
    assert re.search(r"left over along the steering axis +−0\.\d mm", table)  # the example's own numbers agree
    run(change)
    assert read_bike("my-bike").frame.linkage.pin("main").z_mm == 73


def run(block):
    """Run each command of a block; exit code 1 says that a rider would feel the change."""
    told = ""
    for line in block.strip().splitlines():
        name, *arguments = shlex.split(line)
        assert name == "bikewright"
        result = CliRunner().invoke(cli, arguments, catch_exceptions=False)
        assert result.exit_code in (0, 1), f"{line}: {result.output}"
        told += result.output
    return told


@pytest.mark.parametrize("bike", ["quillback", "wherry", "corbel"])
def test_the_demo_bikes_read_without_a_fault(bike):
    assert len(read_bike(ROOT / "examples" / bike).builds) > 2
