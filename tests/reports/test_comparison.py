"""A comparison as a page of text: order, folding, shares, and what is left unsaid."""

from bikewright.model.addresses import apply, read_change
from bikewright.reports.comparison import comparison_lines, sizes_lines
from bikewright.reports.tables import WIDTH
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.compare import FELT, compare, compare_sizes
from tests.sample_bike import BRIEF, BUILD, STOCK

PLAIN = ShownUnits()


def changed(*texts):
    build = BUILD
    for text in texts:
        build = apply(build, read_change(text), STOCK)
    return build


def page(*texts, units=PLAIN, everything=False):
    return comparison_lines(compare(BUILD, changed(*texts), BRIEF), units, everything=everything)


def heads(lines):
    return [line for line in lines if line[:1].isdigit()]


def test_refusals_stand_before_verdicts_and_verdicts_before_causes():
    lines = page("fork=fork-190")

    assert lines.index("Refused") < lines.index("Brief") < lines.index(heads(lines)[0])
    assert lines[-2].startswith("Limits printed on a part come first.")


def test_what_the_brief_says_stands_before_and_after():
    (line,) = [line for line in page("fork=fork-190") if line.startswith("  head angle")]

    assert line.split("  ")[1:] != []
    assert "met → low by" in line and line.endswith("brief 64.2° to 65.0°")


def test_causes_are_numbered_in_the_order_in_which_they_are_felt():
    lines = heads(page("stem_spacers_mm=16", "fork=fork-170"))

    assert [line.split(":")[0] for line in lines] == ["1  fork", "2  stem spacers"]


def test_a_cause_that_nobody_feels_is_one_line_and_whole_with_all():
    lines = page("stem_spacers_mm=11")

    assert heads(lines) == []
    assert "Changed as well, and nobody feels it: stem spacers: 10 mm → 11 mm" in lines
    assert len(heads(page("stem_spacers_mm=11", everything=True))) == 1


def test_an_echo_that_rounds_to_nothing_is_not_told():
    told = " ".join(" ".join(page("fork=fork-170")).split())

    assert "with it:" in told
    for noise in (" +0 mm", " −0 mm", " +0.0°", " 0 mm;", " 0.0°;"):
        assert noise not in told


def test_a_share_is_told_only_where_another_cause_moves_the_same_number():
    assert not any("  alone " in line for line in page("fork=fork-170"))
    together = [line for line in page("fork=fork-170", "headset=reach-5") if "  alone " in line]
    comparison = compare(BUILD, changed("fork=fork-170", "headset=reach-5"), BRIEF)
    leads = [headline.lead for cause in comparison.causes for headline in cause.headlines if headline.lead.is_felt]
    shared = [
        lead
        for lead in leads
        if PLAIN.change(lead.quantity, 0.0, lead.own_share) != PLAIN.change(lead.quantity, 0.0, lead.change)
    ]
    assert len(together) == len(shared) > 0


def test_a_pull_is_told_with_what_the_cause_does_alone():
    comparison = compare(BUILD, changed("fork=fork-170", "headset=reach-5", "chips.mount=high"))
    lines = " ".join(" ".join(comparison_lines(comparison, PLAIN)).split())
    pulls = [pull for cause in comparison.causes for pull in cause.pulls]

    assert pulls
    assert "pulls as well, alone:" in lines
    for pull in pulls:
        assert f"{pull.quantity.label} {PLAIN.change(pull.quantity, 0.0, pull.alone)}" in lines


def test_more_headlines_than_anybody_reads_are_counted():
    texts = ("fork=fork-190", "headset=angle-1", "stem.length_mm=60", "bar.rise_mm=60", "crank.length_mm=155",
             "front_tyre.radius_mm=355", "rear_tyre.radius_mm=355", "saddle_height_mm=760", "sag_rear_pct=45",
             "bar.width_mm=720", "shock.chassis.stroke_mm=45", "bar.back_sweep_deg=12",
             "linkage.pins.main.z_mm=80")  # fmt: skip
    comparison = compare(BUILD, changed(*texts))
    felt = sum(headline.steps >= FELT for cause in comparison.causes for headline in cause.headlines)
    lines = page(*texts)
    counted = sum(int(line.split()[1]) for line in lines if line.endswith("--all tells them") and "and " in line[:10])

    assert felt > 12
    assert counted == felt - 12
    assert not any("more; --all" in line for line in page(*texts, everything=True))


def test_values_that_are_lost_are_gathered_by_their_reason():
    lines = page("stem=unknown")
    told = " ".join(" ".join(lines).split())

    assert sum(line.startswith("No value any more: waits for a stem") for line in lines) == 1
    assert "lost: hands ahead of bottom bracket" in told


def test_a_line_that_would_be_too_wide_is_broken_not_cut():
    for units in (PLAIN, shown_units("in"), shown_units("cm")):
        for everything in (False, True):
            lines = page("fork=fork-190", "stem.length_mm=50", "chips.mount=high", units=units, everything=everything)
            assert [line for line in lines if len(line) > WIDTH] == []


def test_sizes_are_one_line_a_headline_the_worst_first():
    comparisons = compare_sizes(BUILD, changed("sizes.L.reach_mm+=20", "fork=fork-170"))
    lines = sizes_lines(comparisons, PLAIN)

    felt = sum(h.lead.is_felt for one in comparisons for cause in one.causes for h in cause.headlines)
    assert lines[0] == "All sizes, the worst first"
    assert lines[1].split()[:2] == ["L", "allowed"]
    assert len(lines) == 2 + felt
    assert "nothing felt" in sizes_lines(compare_sizes(BUILD, BUILD), PLAIN)[1]
