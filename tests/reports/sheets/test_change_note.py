"""The change note: every number on paper is the comparison's, in the order in which it has to be read."""

from dataclasses import replace

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.digest import digest
from bikewright.model.files import read_bike
from bikewright.reports.sheets.change_note import Note, change_note
from bikewright.reports.sheets.page import Table
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import ShownUnits, consequence_text, label, shown_units
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import CORBEL, QUILLBACK, WHERRY
from tests.reports.sheets.reading import facts, lines, words

PLAIN = ShownUnits()
CHANGES = {
    QUILLBACK: ("fork=single-crown-170", "headset=reach-plus-5", "chips.shock_mount=high"),
    WHERRY: ("fork=single-crown-140",),
    CORBEL: ("shock=coil-230x62", "linkage.pins.idler.z_mm+=8"),
}


def note_of(folder, *texts, sizes=False, **options):
    bike = read_bike(folder)
    before = after = bike.build("stock")
    for text in texts or CHANGES[folder]:
        after = apply(after, read_change(text), bike.stock, bike.riders)
    return Note(
        comparison=compare(before, after, bike.brief),
        sizes=compare_sizes(before, after, bike.brief) if sizes else (),
        **options,
    )


def rows_of(page):
    return [row for block in page.blocks if isinstance(block, Table) for row in block.rows]


@pytest.mark.parametrize("units", ["", "in,psi,lb,lbf_in"])
@pytest.mark.parametrize("folder", CHANGES, ids=lambda folder: folder.name)
def test_every_number_of_the_tables_is_the_comparisons_and_can_be_read_in_the_pdf(folder, units):
    shown = shown_units(units)
    note = note_of(folder, units=shown)
    told = lines(to_pdf(change_note(note)))

    felt = [line for cause in note.comparison.causes for line in cause.headlines if line.lead.is_felt]
    assert felt
    packed = ["".join(line.split()) for line in told]  # in a column, poppler tells narrow spaces and none alike
    for headline in felt:
        lead = headline.lead
        before, after = (shown.value(lead.quantity, value.number) for value in (lead.before, lead.after))
        change = shown.change(lead.quantity, lead.before.number, lead.after.number)
        row = f"{label(lead.after)} {before} {after} {change} {lead.steps:.1f}"
        assert "".join(row.split()) in packed, row
    everything = "".join(packed)
    for headline in felt:
        for echo in headline.echoes:
            change = abs(echo.change or 1.0)
            if change >= 0.5 * 10.0**-echo.quantity.decimals:
                assert "".join(consequence_text(echo, shown, headline.lead.after.state).split()) in everything
    for verdict in note.comparison.verdicts:
        name = "".join(label(verdict.after).split())
        row = next(line for line in packed if line.startswith(name) and "→" in line)
        for value in (verdict.before, verdict.after):
            assert "".join(shown.value(verdict.quantity, value.number).split()) in row


def test_the_table_over_sizes_holds_the_two_answers_of_each_size():
    note = note_of(QUILLBACK, sizes=True)
    table = [block for block in change_note(note).blocks if isinstance(block, Table)][-1]

    names = [column.head for column in table.columns[1:]]
    assert names == [size.name for size in note.comparison.after.frame.sizes]
    by_size = {one.size: one for one in note.sizes}
    told = " ".join(lines(to_pdf(change_note(note))))
    checked = 0
    for row in table.rows:
        for name, cell in zip(names, row.cells[1:], strict=True):
            one = by_size[name]
            values = [
                (evaluate(one.before).value(value.address), value)
                for value in evaluate(one.after).values("table")
                if label(value) == row.cells[0].text
            ]
            for before, after in values:
                assert cell.text == PLAIN.value(after.quantity, after.number)
                assert cell.below.split(",")[0] == PLAIN.change(after.quantity, before.number, after.number)
                assert cell.text in told and cell.below in told
                checked += 1
    assert checked >= 4 * len(names)


def test_refusals_come_first_then_changes_then_the_brief_then_what_follows():
    told = words(to_pdf(change_note(note_of(QUILLBACK, *CHANGES[QUILLBACK], "rear_tyre.width_mm=80"))))

    order = (
        "Refused: the build after may not be built",
        "the rear tyre's width is 80 mm",
        "Changed in the order",
        "Judged otherwise by the brief",
        "What follows",
        "Side view",
        "Rear suspension",
        "Not modelled",
    )
    places = [told.index(text) for text in order]
    assert places == sorted(places)


def test_a_hardtail_has_no_curves_and_a_suspended_bike_has_three():
    hard, soft = (words(to_pdf(change_note(note_of(folder)))) for folder in (WHERRY, CORBEL))

    assert "Rear suspension" not in hard
    for name in ("leverage ratio", "anti-squat, ", "anti-rise"):
        assert name in soft
    assert "after before" in soft or "before after" in soft


def test_the_side_view_is_dimensioned_with_the_build_after_and_says_its_scale():
    note = note_of(QUILLBACK)
    told = words(to_pdf(change_note(note)))

    for key, name in (("wheelbase_mm", "wheelbase"), ("reach_mm", "reach"), ("stack_mm", "stack")):
        value = evaluate(note.comparison.after).value(f"{key}@table")
        assert f"{name} {PLAIN.value(value.quantity, value.number)}" in told
    assert "scale 1:12.5" in told


def test_the_number_of_a_note_is_that_of_the_two_builds():
    first, second = note_of(WHERRY), note_of(WHERRY, "fork=rigid-505")
    builds = (first.comparison.before, first.comparison.after)

    assert first.key == digest(builds)[:12]
    assert first.key != second.key
    assert first.key in words(to_pdf(change_note(first)))


def test_a_date_stands_there_only_where_it_is_given_and_the_file_is_the_same_on_any_day():
    plain, dated = note_of(WHERRY), note_of(WHERRY, date="2031-02-03")

    assert "2031-02-03" in words(to_pdf(change_note(dated)))
    assert "date" not in words(to_pdf(change_note(plain)))
    assert to_pdf(change_note(plain)) == to_pdf(change_note(note_of(WHERRY)))


@pytest.mark.parametrize("folder", CHANGES, ids=lambda folder: folder.name)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_note_takes_three_pages_at_the_most(folder, paper):
    assert int(facts(to_pdf(change_note(note_of(folder, sizes=True, paper=paper))))["Pages"]) <= 3


def test_a_bike_that_locks_is_told_so_in_place_of_the_drawing():
    note = note_of(QUILLBACK, "shock.chassis.eye_to_eye_mm=300")
    told = words(to_pdf(change_note(note)))

    assert told.index("No value any more") < told.index("Changed")
    assert "Not drawn: " in told
    assert "Nothing that a rider would notice" not in told
    assert "Cannot be judged any more: " in told


def test_no_change_is_said_in_one_sentence():
    bike = read_bike(WHERRY)
    told = words(to_pdf(change_note(Note(comparison=compare(bike.builds[0], bike.builds[0], bike.brief)))))

    assert "Nothing differs between the two builds." in told
    assert "What follows" not in told


def test_a_change_that_nobody_feels_says_so():
    told = words(to_pdf(change_note(note_of(QUILLBACK, "stem_spacers_mm+=1"))))

    assert "Nothing that a rider would notice." in told


def test_what_a_user_wrote_in_the_files_is_text_on_paper():
    hostile = '#import "@preview/x": * #panic(1) $x$ <a> @b [c] \\ ` // "q" </text>'
    note = note_of(QUILLBACK)
    fork = note.comparison.after.parts.fork
    frame = note.comparison.after.frame
    after = note.comparison.after.changed(
        parts=replace(
            note.comparison.after.parts, fork=replace(fork, describe=f"{hostile} \u202e \U0001f6b2 {'W' * 300}")
        ),
        frame=replace(frame, maker=hostile[:40], revision="R" * 500, reason=hostile),
    )
    made = to_pdf(change_note(Note(comparison=compare(note.comparison.before, after))))
    told = words(made)

    assert told.count(hostile) == 2
    assert "[U+202E] [U+1F6B2]" in told
    assert "W" * 300 in told.replace(" ", "")
    assert int(facts(made)["Pages"]) <= 3


def test_the_rows_of_many_sizes_stand_seven_beside_each_other():
    note = note_of(WHERRY, sizes=True)
    many = Note(comparison=note.comparison, sizes=note.sizes * 4)
    tables = [block for block in change_note(many).blocks if isinstance(block, Table)]

    assert [len(table.columns) - 1 for table in tables[-3:]] == [7, 7, 2]
