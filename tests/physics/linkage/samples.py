"""Linkages that the tests share: drawn places in metres, invented for the purpose."""

from dataclasses import dataclass

import numpy as np

from bikewright.physics.linkage.layout import Layout, PinPlace


@dataclass(frozen=True, eq=False)
class Sample:
    """A drawn linkage and the stroke that it runs through."""

    layout: Layout
    places: np.ndarray
    stroke: float

    @property
    def marks(self):
        return self.layout.drawn(self.places)

    @property
    def shock_length(self):
        a, b = self.layout.pins_of["shock"]
        return float(np.hypot(*(self.places[a] - self.places[b])))

    def lengths(self, n=101, stroke=None):
        return np.linspace(self.shock_length, self.shock_length - (stroke or self.stroke), n)


def sample(stroke, **pins):
    """Each pin as (x_mm, z_mm, body, body, ...); underscores in names become blanks."""
    layout = Layout(tuple(PinPlace(name.replace("_", " "), tuple(pin[2:])) for name, pin in pins.items()))
    return Sample(layout, np.array([pin[:2] for pin in pins.values()], dtype=float) * 1e-3, stroke)


SINGLE_PIVOT = sample(
    0.050,
    main_pivot=(15, 45, "frame", "swingarm"),
    shock_mount=(215, 120, "frame", "shock"),
    shock_eye=(20, 165, "swingarm", "shock"),
    axle=(-435, 10, "swingarm", "wheel"),
    idler=(5, 95, "swingarm", "idler"),
)
LINKED_SINGLE_PIVOT = sample(
    0.045,
    main_pivot=(15, 45, "frame", "swingarm"),
    rocker_pivot=(35, 265, "frame", "rocker"),
    shock_mount=(95, 60, "frame", "shock"),
    stay=(-85, 262, "swingarm", "rocker link"),
    rocker_end=(5, 310, "rocker", "rocker link"),
    shock_eye=(88, 270, "rocker", "shock"),
    axle=(-435, 10, "swingarm", "wheel"),
)
FOUR_BAR = sample(
    0.050,
    main_pivot=(10, 30, "frame", "chainstay"),
    rocker_pivot=(20, 270, "frame", "rocker"),
    shock_mount=(115, 80, "frame", "shock"),
    dropout=(-400, 20, "chainstay", "seatstay"),
    upper=(-50, 300, "seatstay", "rocker"),
    shock_eye=(85, 285, "rocker", "shock"),
    axle=(-435, 35, "seatstay", "wheel"),
    brake=(-380, 90, "seatstay", "caliper"),
)
SHORT_LINKS = sample(
    0.040,
    lower_pivot=(5, 40, "frame", "lower link"),
    upper_pivot=(60, 250, "frame", "upper link"),
    shock_mount=(170, 70, "frame", "shock"),
    lower_joint=(-30, 10, "lower link", "triangle"),
    upper_joint=(-20, 275, "upper link", "triangle"),
    shock_eye=(115, 262, "upper link", "shock"),
    axle=(-440, 15, "triangle", "wheel"),
)
SIX_BAR = sample(
    0.050,
    main_pivot=(10, 30, "frame", "chainstay"),
    rocker_pivot=(20, 270, "frame", "rocker"),
    second_pivot=(130, 230, "frame", "shock rocker"),
    shock_mount=(190, 60, "frame", "shock"),
    dropout=(-400, 20, "chainstay", "seatstay"),
    upper=(-50, 300, "seatstay", "rocker"),
    push_start=(25, 330, "rocker", "push link"),
    push_end=(120, 290, "shock rocker", "push link"),
    shock_eye=(185, 255, "shock rocker", "shock"),
    axle=(-435, 35, "seatstay", "wheel"),
)
FLOATING = sample(
    0.045,
    main_pivot=(15, 45, "frame", "swingarm"),
    rocker_pivot=(35, 265, "frame", "rocker"),
    stay=(-85, 262, "swingarm", "link"),
    rocker_end=(5, 310, "rocker", "link"),
    top_eye=(80, 262, "rocker", "shock"),
    low_eye=(-25, 60, "swingarm", "shock"),
    axle=(-435, 10, "swingarm", "wheel"),
)
FLOATING_LINKS = sample(
    0.045,
    lower_pivot=(5, 60, "frame", "lower link"),
    upper_pivot=(40, 250, "frame", "upper link"),
    lower_joint=(-60, 40, "lower link", "triangle"),
    upper_joint=(-40, 290, "upper link", "triangle"),
    top_eye=(100, 245, "upper link", "shock"),
    low_eye=(-45, 75, "lower link", "shock"),
    axle=(-440, 15, "triangle", "wheel"),
)
ALL = {
    "single pivot": SINGLE_PIVOT,
    "linked single pivot": LINKED_SINGLE_PIVOT,
    "four-bar": FOUR_BAR,
    "short links": SHORT_LINKS,
    "six-bar": SIX_BAR,
    "floating": FLOATING,
    "floating links": FLOATING_LINKS,
}
