"""One step of a root inside a bracket, for whoever evaluates the function.

Theory: docs/theory/posture.md, docs/theory/kernels.md
"""

STEPS_MAX = 100
NOUGHT, AS_NEAR = 1e-14, 1e-15
"""Size of the function, and of the last move, at which a root is found. [units of the function and of its argument]"""


def narrowed(a: float, fa: float, b: float, fb: float, c: float, fc: float) -> tuple[float, float, float, float]:
    """The bracket after the function was found to be fc at c; b is the newest place.

    The value at an end that stays is halved (Illinois), so that both ends close in.
    """
    if fc * fb < 0.0:
        return b, fb, c, fc
    return a, 0.5 * fa, c, fc
