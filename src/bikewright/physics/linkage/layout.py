"""What a linkage is: bodies joined by pins.

Question answered   Which bodies meet at which pin, and where in the table of drawn places does each meeting stand?
Method              A pin and a body that it joins make one *mark*. Each mark has its own drawn place, because a flip
                    chip moves a pin on one body only.
Axes and signs      (x, z) in frame axes, x forward, z up [m].
Left out            Sizes, parts, chips: whoever reads a bike makes the marks.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import LinkageError

FRAME = "frame"
"""The body that stands still."""
SHOCK = "shock"
"""The body of varying length that drives the rest; it has exactly two pins."""
WHEEL = "wheel"
"""The body whose one pin is the axle."""


@dataclass(frozen=True, slots=True)
class PinPlace:
    """One pin and the bodies on it."""

    name: str
    """The pin's name, unique in its layout."""
    joins: tuple[str, ...]
    """Bodies that share the pin. A point of one body only is a pin that a single-pin body hangs on."""


@dataclass(frozen=True)
class Layout:
    """Which pins join which bodies. Says nothing about where they are."""

    pins: tuple[PinPlace, ...]
    """All pins, in the order in which results list them."""

    def __post_init__(self) -> None:
        names = [pin.name for pin in self.pins]
        for name in names:
            if names.count(name) > 1:
                raise LinkageError(f"pin '{name}' is listed {names.count(name)} times; give each pin one name.")
        for pin in self.pins:
            if not pin.joins:
                raise LinkageError(f"pin '{pin.name}' joins no body; name the bodies on it.")
            if len(set(pin.joins)) < len(pin.joins):
                raise LinkageError(f"pin '{pin.name}' lists a body twice: {', '.join(pin.joins)}.")

    @cached_property
    def marks(self) -> tuple[tuple[str, str], ...]:
        """(pin, body) of every mark, in the order of the rows of an array of drawn places."""
        return tuple((pin.name, body) for pin in self.pins for body in pin.joins)

    @cached_property
    def bodies(self) -> tuple[str, ...]:
        """All bodies, in the order of first mention."""
        return tuple(dict.fromkeys(body for pin in self.pins for body in pin.joins))

    @cached_property
    def pins_of(self) -> dict[str, tuple[int, ...]]:
        """Indices of the pins of each body."""
        return {body: tuple(i for i, pin in enumerate(self.pins) if body in pin.joins) for body in self.bodies}

    def pin(self, name: str) -> int:
        """Index of a pin by name."""
        found = self._index_of_pin.get(name)
        if found is not None:
            return found
        raise LinkageError(f"no pin is named '{name}'; the pins are {', '.join(p.name for p in self.pins)}.")

    def mark(self, pin: str, body: str) -> int:
        """Row of the mark of a pin on a body."""
        found = self._row_of_mark.get((pin, body))
        if found is None:
            joins = self.pins[self.pin(pin)].joins
            raise LinkageError(f"pin '{pin}' is not on '{body}'; it joins {', '.join(joins)}.")
        return found

    @cached_property
    def _index_of_pin(self) -> dict[str, int]:
        return {pin.name: index for index, pin in enumerate(self.pins)}

    @cached_property
    def _row_of_mark(self) -> dict[tuple[str, str], int]:
        return {mark: row for row, mark in enumerate(self.marks)}

    @cached_property
    def _hash(self) -> int:
        return hash(self.pins)

    def __hash__(self) -> int:
        """Hash of the pins, worked out once: plans are looked up by their layout."""
        return self._hash

    def __getstate__(self) -> dict[str, object]:
        """What another process is sent: the pins alone, since a hash of texts holds in its own process only."""
        return {"pins": self.pins}

    @cached_property
    def axle(self) -> int:
        """Index of the axle's pin."""
        held = self.pins_of.get(WHEEL, ())
        if len(held) != 1:
            raise LinkageError(f"body '{WHEEL}' must have exactly one pin, the axle; it has {len(held)}.")
        return held[0]

    @cached_property
    def axle_bodies(self) -> tuple[str, ...]:
        """Rigid bodies on the axle; two where a pivot runs round the axle."""
        return tuple(
            body for body in self.pins[self.axle].joins if body not in (SHOCK, WHEEL) and len(self.pins_of[body]) > 1
        )

    def drawn(self, places: ArrayLike) -> NDArray[np.float64]:
        """Marks where every body on a pin has the pin in the same drawn place.

        Parameters
        ----------
        places : array_like, shape (n_pins, 2)
            Drawn (x, z) of every pin, in the order of `pins`. [m]

        Returns
        -------
        ndarray, shape (n_marks, 2)
            Drawn (x, z) of every mark. [m]
        """
        at = np.array(places, dtype=np.float64)
        if at.shape != (len(self.pins), 2):
            raise LinkageError(f"drawn places must have the shape ({len(self.pins)}, 2); found {at.shape}.")
        return at[[self.pin(pin) for pin, _ in self.marks]]
