"""A firm's list beside the coverage: text and screen count alike, and marks lie where people stand."""

from types import SimpleNamespace

from bikewright.model.people_file import people_of
from bikewright.reports.buying import MOST_MARKS, buyers_data, buyers_lines
from bikewright.reports.chart import Axis, Chart
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.buying import Buyer, Buyers
from bikewright.studies.coverage import inseam_of

LIST = """height,inseam,build,size,returned
178 cm,83 cm,male,L,no
170 cm,78 cm,female,M,yes
182 cm,86 cm,male,XL,yes
176 cm,,male,M,
210 cm,99 cm,male,XL,no
"""


def chart_of(unit):
    scale = 25.4 if unit == "in" else 1.0
    axes = Axis("stature", unit, 1500 / scale, 2000 / scale), Axis("inseam", unit, 650 / scale, 950 / scale)
    return Chart(title="x", x=axes[0], y=axes[1], series=())


def beside(text):
    """A list laid beside sizes of which L fits everybody."""
    people = people_of(text, "own.csv").people
    buyers = tuple(Buyer(one, inseam_of(one), ("L",) if one.height_mm < 2000 else (), "L") for one in people)
    return Buyers(SimpleNamespace(), "own.csv", buyers)


def test_screen_and_text_count_alike():
    found = beside(LIST)
    charts = {column: chart_of("mm") for column in ("male", "female")}
    told = buyers_data(found, charts, ShownUnits())
    assert [row[1:] for row in told["rows"]] == [("20 %", "1 of 5"), ("20 %", "1 of 5"), ("0 %", "0 of 1"),
                                                 ("67 %", "2 of 3")]  # fmt: skip
    lines = "\n".join(buyers_lines(found, ShownUnits()))
    for word, share, _ in told["rows"]:
        assert any(word in line and share in line for line in lines.splitlines())
    assert [row[0] for row in told["others"]] == ["3", "4", "5"]
    assert "1 without an inseam" in lines


def test_marks_of_men_and_of_women_lie_in_their_charts():
    charts = {column: chart_of("mm") for column in ("male", "female")}
    marks = buyers_data(beside(LIST), charts, ShownUnits())["marks"]
    assert [(one["x"], one["style"]) for one in marks["men"]["points"]] == [
        (1780.0, "kept"), (1820.0, "returned"), (1760.0, "unsaid")
    ]  # fmt: skip
    assert [(one["x"], one["y"]) for one in marks["women"]["points"]] == [(1700.0, 780.0)]
    assert marks["men"]["note"] == "marks: the 4 men of own.csv; 1 of them lie outside of the chart"
    assert [style for style, _ in marks["men"]["key"]] == ["kept", "returned", "unsaid"]


def test_marks_are_in_the_readers_unit():
    charts = {column: chart_of("in") for column in ("male", "female")}
    marks = buyers_data(beside(LIST), charts, shown_units("in"))["marks"]["women"]["points"]
    assert [(one["x"], one["y"]) for one in marks] == [(round(1700 / 25.4, 2), round(780 / 25.4, 2))]


def test_of_a_long_list_some_are_drawn_and_it_is_said():
    text = "height,build\n" + "178 cm,male\n" * (MOST_MARKS + 1)
    marks = buyers_data(beside(text), {"male": chart_of("mm")}, ShownUnits())["marks"]["men"]
    assert len(marks["points"]) <= MOST_MARKS
    assert "one in 2 is drawn" in marks["note"]
    assert marks["key"] == [("unsaid", f"not said whether it came back, {MOST_MARKS + 1}")]
