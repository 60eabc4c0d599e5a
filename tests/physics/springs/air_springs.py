"""Air springs that somebody might ride, for the property tests."""

from hypothesis import strategies as st

from bikewright.physics.springs.chambers import AirSpring, LowerLegs, Negative
from bikewright.physics.springs.gas import Air

exponents = st.sampled_from([1.0, 1.0 + 1e-9, 1.2, 1.3, 1.4])
airs = st.builds(Air, temperature=st.floats(258.0, 313.0), pressure=st.floats(6e4, 1.05e5))
gauges = st.floats(2e5, 2e6)


@st.composite
def springs(draw, port="any", lower=None):
    """A spring and its stroke; ``port`` says which kind of negative chamber: none, open, dimple, valve or any."""
    stroke = draw(st.floats(0.04, 0.18))
    area = draw(st.floats(5e-4, 2.5e-3))
    # The gas is compressed 1.5 to 5 times over the stroke.
    whole = stroke * draw(st.floats(1.25, 3.0))
    kind = draw(st.sampled_from(["none", "open", "dimple", "valve"])) if port == "any" else port
    negative = None
    if kind != "none":
        share = draw(st.floats(0.8, 0.98))
        negative = Negative(
            volume=share * area * draw(st.floats(0.01, 0.06)),
            area=share * area,
            port=None if kind == "valve" else draw(st.floats(0.0, 0.012)),
            open_extended=kind != "dimple",
        )
    legs = None
    if draw(st.booleans()) if lower is None else lower:
        swept = draw(st.floats(1e-3, 2e-3))
        legs = LowerLegs(area=swept, volume=swept * stroke * draw(st.floats(1.5, 4.0)))
    return AirSpring(area=area, volume=area * whole, negative=negative, lower=legs), stroke
