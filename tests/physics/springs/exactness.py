"""One check for every spring: force is the derivative of energy, rate that of force, arrays agree with floats."""

import numpy as np
import pytest

from bikewright.physics.springs.curve import SpringCurve


def derivative(values, at, step):
    """Central difference of sixth order: the error falls with step^6, and rounding with 1e-16/step."""
    near, mid, far = ((values(at + k * step) - values(at - k * step)) / (2 * k * step) for k in (1, 2, 3))
    return 1.5 * near - 0.6 * mid + 0.1 * far


def check_exact(spring: SpringCurve, places, step=1e-4):
    """At each place, which must lie more than 3 steps from any kink. Tolerance 1e-8 of the largest value there is."""
    forces, rates = spring.force(np.asarray(places)), spring.rate(np.asarray(places))
    for at in places:
        assert derivative(spring.energy, at, step) == pytest.approx(spring.force(at), abs=1e-8 * np.max(np.abs(forces)))
        assert derivative(spring.force, at, step) == pytest.approx(spring.rate(at), abs=1e-8 * np.max(np.abs(rates)))
    check_arrays(spring, places)


def check_arrays(spring: SpringCurve, places):
    """An array of strokes, also a plane one, gives what each float gives."""
    for shape in ((-1,), (1, -1)):
        together = spring.state(np.asarray(places, dtype=float).reshape(shape))
        for k, at in enumerate(places):
            for whole, one in zip(together, spring.state(float(at)), strict=True):
                assert np.ravel(whole)[k] == pytest.approx(one, rel=1e-12, abs=1e-12)


def check_energy(spring: SpringCurve, low, high, rel=1e-11):
    """Energy between two strokes against Gauss's quadrature of the force with 60 points; no kink in between."""
    node, weight = np.polynomial.legendre.leggauss(60)
    half = 0.5 * (high - low)
    work = half * float(np.sum(weight * spring.force(low + half * (node + 1.0))))
    assert spring.energy(high) - spring.energy(low) == pytest.approx(work, rel=rel)
