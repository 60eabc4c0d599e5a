"""The brief check as a page of text and as JSON."""

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.brief import Brief, BriefLine
from bikewright.reports.as_json import check_json
from bikewright.reports.check import check_lines, count_text
from bikewright.reports.tables import WIDTH
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.check import check_brief
from tests.sample_bike import BRIEF, BUILD, RIDERS, STOCK

PLAIN = ShownUnits()


def changed(*texts):
    build = BUILD
    for text in texts:
        build = apply(build, read_change(text), STOCK, RIDERS)
    return build


def page(check, units=PLAIN):
    lines = check_lines(check, units)
    assert [line for line in lines if len(line) > WIDTH] == []
    return "\n".join(lines)


def test_missed_lines_come_first_with_size_amount_and_reason():
    lines = Brief(lines=(*BRIEF.lines, BriefLine(name="stack_mm", low=625, why="Room for a tall rider.")))
    told = page(check_brief(BUILD, lines))

    assert told.index("Missed") < told.index("Met")
    assert "  stack: brief at least 625 mm\n     M: 620 mm, low by 5 mm; met in L\n" in told
    assert "asked for because: Room for a tall rider." in told
    assert told.count("head angle") == 1


def test_a_line_says_its_state_and_its_rider():
    lines = Brief(lines=(BriefLine(name="head_angle_deg@stated-sag", low=1, rider="ada"),))

    assert "head angle, at sag, rider ada" in page(check_brief(BUILD, lines, RIDERS))


def test_what_is_open_is_gathered_by_what_it_waits_for():
    lines = Brief(lines=(BriefLine(name="bar_height_mm", low=1), BriefLine(name="hand_reach_mm", low=1)))
    told = page(check_brief(changed("stem=unknown"), lines))

    assert told.count("M, L: waits for a stem\n") == 1
    assert "     bar height: brief at least 1 mm" in told


def test_a_met_line_shows_its_range_over_the_sizes():
    told = page(
        check_brief(BUILD, Brief(lines=(BriefLine(name="reach_mm", low=1), BriefLine(name="head_angle_deg", low=1))))
    )

    assert "450 mm (M) to 475 mm (L)" in told
    assert "  64.5°  brief at least 1.0°" in told


def test_refusals_stand_before_everything_with_their_sizes():
    told = page(check_brief(changed("fork=fork-190"), BRIEF))

    assert told.index("Refused") < told.index("Missed")
    assert "the build is refused" in told


def test_the_count_adds_up():
    found = check_brief(changed("stem=unknown", "sizes.L.head_angle_deg=63"),
                        Brief(lines=(*BRIEF.lines, BriefLine(name="bar_height_mm", low=1))))  # fmt: skip
    stands = [line.stands for line in found.lines]

    assert len(stands) == 4
    assert count_text(found) == "{} of 4 lines met in every size, {} missed, {} open.".format(
        *(stands.count(word) for word in ("met", "missed", "open"))
    )


def test_other_units_are_shown_and_json_keeps_the_catalogues():
    found = check_brief(BUILD, Brief(lines=(BriefLine(name="reach_mm", low=460),)))

    assert "M: 17.7 in, low by 0.4 in" in page(found, shown_units("in"))
    (line,) = check_json(found)["lines"]
    first = line["sizes"][0]
    assert first == {"size": "M", "value": pytest.approx(450.0), "verdict": "low", "short_by": 10.0}
