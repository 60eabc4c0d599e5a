"""The name of a value follows from its content and from nothing else."""

import json
import subprocess
import sys

from bikewright.model.addresses import with_value
from bikewright.model.build import remade
from bikewright.model.digest import digest, fields_text
from tests.sample_bike import BUILD


def test_equal_values_have_one_digest_and_changed_ones_another():
    again = with_value(with_value(BUILD, "linkage.pins.main.z_mm", 61.0), "linkage.pins.main.z_mm", 60.0)

    assert again == BUILD and again is not BUILD
    assert digest(again) == digest(BUILD)
    assert digest(with_value(BUILD, "linkage.pins.main.z_mm", 61.0)) != digest(BUILD)


def test_a_field_left_at_its_default_and_one_set_to_it_are_the_same():
    assert digest(with_value(BUILD, "stem_spacers_mm", 10.0)) == digest(BUILD)
    assert digest(with_value(BUILD, "stem_spacers_mm", 10)) == digest(BUILD)


def test_minus_nought_is_nought():
    assert digest(with_value(BUILD, "saddle_back_mm", -0.0)) == digest(with_value(BUILD, "saddle_back_mm", 0.0))


def test_the_digest_is_the_same_in_another_process():
    """Python's own hash of a text differs from run to run; ours must not."""
    code = (
        "import json; from bikewright.model.digest import digest; from tests.sample_bike import BUILD;"
        "print(json.dumps(digest(BUILD)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert json.loads(told.stdout) == digest(BUILD)


def test_a_changed_value_remembers_only_the_texts_that_it_shares():
    """What a build was asked for before it was changed must not be told of the changed one."""
    paths = ("settings.saddle_back_mm", "settings.stem_spacers_mm", "grade_pct", "geometry_row", "saddle_height_mm")
    fields_text(BUILD, paths)
    for address, value in (("saddle_back_mm", 4.0), ("grade_pct", 7.0), ("sizes.M.reach_mm", 461.0)):
        after = with_value(BUILD, address, value)
        fresh = remade(after, {name: getattr(after, name) for name in after.__dataclass_fields__})

        assert fields_text(after, paths) != fields_text(BUILD, paths)
        assert fields_text(after, paths) == fields_text(fresh, paths)
