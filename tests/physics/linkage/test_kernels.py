"""Compiled and uncompiled kernels are one: same numbers and statuses, NaN in the same places, on good and bad input."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from bikewright.errors import EnvironmentFault
from bikewright.physics.kernels import compile as kernels
from bikewright.physics.linkage import forces
from bikewright.physics.linkage.forces import Load, pin_forces
from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import ALL_PINS
from tests.physics.linkage.samples import ALL, FOUR_BAR


def swept(kernel, one, marks, lengths, order=2, keep=ALL_PINS):
    plan = compile_plan(one.layout)
    n, positions = len(marks), lengths.shape[-1]
    points = np.full((n, order + 1, len(keep) or len(one.layout.pins), 2, positions), -7.0)
    margin, status = np.full((n, positions), -7.0), np.full((n, positions), -7)
    culprit = np.full(n, -7)
    kernel(*plan.tables, marks.copy(), np.atleast_2d(lengths).copy(), order, keep, points, margin, status, culprit)
    return points, margin, status, culprit


def graded(kernel, one, marks, lengths, points):
    plan = compile_plan(one.layout)
    axle = one.layout.axle
    seeds = np.array([(axle, 0, 0), (axle, 1, 1)])
    grad = np.full((len(marks), 2, len(one.layout.marks), 2, lengths.shape[-1]), -7.0)
    kernel(plan.ops, plan.rows, plan.slot, plan.fixed, marks.copy(), np.atleast_2d(lengths).copy(), points, seeds, grad)
    return grad


def wild(one, count, spread, seed):
    random = np.random.default_rng(seed)
    return np.array([one.layout.drawn(one.places + random.normal(0.0, spread, one.places.shape)) for _ in range(count)])


def singular(one):
    """Drawings that a person makes by mistake: all in one place, in one line, one pin on another, far away."""
    layout = one.layout
    heap = np.zeros_like(one.marks)
    line = one.marks * [1.0, 0.0]
    doubled = [np.where(np.arange(len(layout.pins))[:, None] == k, one.places[k - 1], one.places) for k in range(1, 5)]
    far = one.marks + 1e6
    unknown = one.marks.copy()
    unknown[3] = np.nan
    return np.array([heap, line, far, unknown, *(layout.drawn(places) for places in doubled)])


@pytest.mark.parametrize("name", ALL)
def test_sweeps_agree_to_the_last_bit(loaded, name):
    one = ALL[name]
    plain, compiled = loaded["linkage.sweep"]
    marks = np.concatenate([wild(one, 6, 0.004, 1), wild(one, 10, 0.060, 2), singular(one)])
    for lengths in (one.lengths(7), one.lengths(7, stroke=0.8 * one.shock_length), one.lengths(7) + 0.3):
        for order in (1, 2):
            ours, theirs = (swept(kernel, one, marks, lengths, order) for kernel in (plain, compiled))
            for mine, other in zip(ours, theirs, strict=True):
                assert np.array_equal(mine, other, equal_nan=True)
            points, margin, status, _ = ours
            assert not np.any(points == -7.0)
            assert np.array_equal(np.isnan(points[:, 0, one.layout.axle, 1]), status != 0)
            assert np.array_equal(np.isnan(margin), status != 0)


@pytest.mark.parametrize("name", ALL)
def test_gradients_agree(loaded, name):
    one = ALL[name]
    marks = np.concatenate([wild(one, 3, 0.004, 1), wild(one, 4, 0.060, 2), singular(one)])
    lengths = one.lengths(5)
    points = swept(loaded["linkage.sweep"][0], one, marks, lengths)[0]
    ours, theirs = (graded(kernel, one, marks, lengths, points) for kernel in loaded["linkage_adjoint.gradient"])
    assert np.array_equal(np.isnan(ours), np.isnan(theirs))
    assert np.array_equal(ours, theirs, equal_nan=True)
    assert np.array_equal(np.isnan(ours).any(axis=(1, 2, 3)), np.isnan(points[:, 0, one.layout.axle, 0]))


@pytest.mark.parametrize("name", ALL)
def test_instant_centres_agree_to_the_last_bit(loaded, name):
    one = ALL[name]
    held = one.layout.pins_of[one.layout.axle_bodies[0]]
    marks = np.concatenate([wild(one, 6, 0.004, 5), wild(one, 10, 0.060, 6), singular(one)])
    points = swept(loaded["linkage.sweep"][0], one, marks, one.lengths(7))[0]
    points[0, 1] = 0.0  # a body that stands still
    points[1, 1, :, 0], points[1, 1, :, 1] = 0.3, 0.4  # and one that does not turn
    ours, theirs = np.full((2, len(marks), 2, 7), -7.0)
    for kernel, centre in zip(loaded["linkage_centre.centres"], (ours, theirs), strict=True):
        kernel(points, held[0], held[-1], centre)
    assert np.array_equal(ours, theirs, equal_nan=True)
    assert np.isnan(ours[:2]).all()
    assert np.isfinite(ours[2:6, :, 0]).all()


@pytest.mark.parametrize("name", ["four-bar", "floating"])
def test_keeping_few_pins_changes_no_number(loaded, name):
    one = ALL[name]
    marks, lengths = wild(one, 5, 0.060, 3), one.lengths(9)
    keep = np.array([one.layout.axle, 2])
    for kernel in loaded["linkage.sweep"]:
        every, few = swept(kernel, one, marks, lengths), swept(kernel, one, marks, lengths, keep=keep)
        assert np.array_equal(every[0][:, :, keep], few[0], equal_nan=True)
        for whole, part in zip(every[1:], few[1:], strict=True):
            assert np.array_equal(whole, part, equal_nan=True)


def test_an_array_of_another_kind_is_refused_and_not_compiled_anew(loaded):
    points = np.zeros((1, 3, 8, 2, 5), dtype=np.float32)
    plan = compile_plan(FOUR_BAR.layout)
    with pytest.raises(TypeError, match="No matching definition"):
        loaded["linkage.sweep"][1](
            *plan.tables, FOUR_BAR.marks[None], FOUR_BAR.lengths(5)[None], 2, ALL_PINS, points, points, points, points
        )


def test_the_fastest_kernel_is_the_compiled_one_once_loaded_and_gives_the_same_motion(loaded):
    assert kernels.fastest("linkage.sweep") is loaded["linkage.sweep"][1]
    fast = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(9))
    kernels.unload()
    assert kernels.fastest("linkage.sweep") is loaded["linkage.sweep"][0]
    slow = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(9))
    kernels.load()
    assert np.array_equal(fast.points, slow.points)
    assert np.array_equal(fast.acceleration, slow.acceleration)


def test_the_cache_folder_follows_the_sources(monkeypatch, tmp_path):
    monkeypatch.setenv("BIKEWRIGHT_CACHE", str(tmp_path))
    folder = kernels.cache_folder()
    assert folder.parent == tmp_path / "kernels"
    edited = tmp_path / "linkage_group.py"
    source = next(module for module in kernels.kernel_modules() if module.__name__.endswith("linkage_group"))
    edited.write_text(Path(source.__file__).read_text(encoding="utf-8") + "\n# edited\n", encoding="utf-8")
    monkeypatch.setattr(source, "__file__", str(edited))
    assert kernels.cache_folder() != folder


def test_the_cache_folder_falls_back_to_the_user(monkeypatch, tmp_path):
    monkeypatch.delenv("BIKEWRIGHT_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(sys, "platform", "linux")
    assert kernels.cache_folder().is_relative_to(tmp_path / "bikewright")


def test_a_folder_that_cannot_be_made_is_told_with_the_way_out(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    kernels.unload()
    monkeypatch.setenv("BIKEWRIGHT_CACHE", str(tmp_path / "file"))
    with pytest.raises(EnvironmentFault, match="set BIKEWRIGHT_CACHE to a folder that can be written"):
        kernels.load()
    kernels.load_in_background().join()
    assert "compiling the kernels failed" in kernels.failure()
    assert kernels.compiled("linkage.sweep") is None


def test_one_answer_imports_no_numba():
    """In a fresh process: a motion is solved and neither numba nor scipy is imported."""
    code = (
        "import sys; from tests.physics.linkage.samples import FOUR_BAR as f\n"
        "from bikewright.physics.linkage.motion import solve_motion\n"
        "print(solve_motion(f.layout, f.marks, f.lengths(5)).wheel_travel[-1])\n"
        "sys.exit(bool({'numba', 'scipy', 'pandas'} & set(sys.modules)))"
    )
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=root)
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) == pytest.approx(0.0997, abs=1e-4)


def test_warming_compiles_elsewhere_and_loads_here(loaded):
    """The other process finds what the fixture left in the folder, so this is quick."""
    kernels.unload()
    kernels.warm()
    assert kernels.compiled("linkage.sweep") is not None
    kernels.load_in_background().join()
    assert kernels.compiled("linkage.sweep") is not None


@pytest.mark.parametrize("name", ALL)
def test_forces_at_the_pins_agree_in_both_forms_and_with_a_library(loaded, name, monkeypatch):
    """On a moving linkage with a load besides, on one that a dead point makes singular, and on one that is not known.

    The library is NumPy's elimination, which an answer that is not compiled uses.
    """
    one = ALL[name]
    motion = solve_motion(one.layout, one.marks, one.lengths(7))
    system = forces._system(one.layout)
    random = np.random.default_rng(8)
    given, right = random.normal(size=(7, len(one.layout.pins), 2)), random.normal(size=(7, system.size))
    for places in (motion.points, np.zeros_like(motion.points), np.full_like(motion.points, np.nan)):
        found = []
        for solve in loaded["linkage_statics.forces"]:
            out = np.full((7, len(one.layout.marks), 2), -7.0)
            found.append((solve(places.copy(), given, right.copy(), *system.tables, out), out))
        assert found[0][0] == found[1][0] == (places is motion.points)
        np.testing.assert_allclose(found[0][1], found[1][1], rtol=1e-13, atol=1e-15)
    axle = one.layout.pins[one.layout.axle].name
    loads = tuple(Load(pin=axle, body=body, force=(50.0, -20.0)) for body in ("wheel", one.layout.axle_bodies[0]))
    compiled = pin_forces(motion, (30.0, 1000.0), loads).on_body
    monkeypatch.setattr(forces, "compiled", lambda name: None)
    np.testing.assert_allclose(compiled, pin_forces(motion, (30.0, 1000.0), loads).on_body, rtol=1e-11, atol=1e-9)
