"""The stock: every part that the bikes of one folder may be built with, found by kind and name."""

from difflib import get_close_matches

from bikewright.errors import AddressError
from bikewright.model.parts import Coil, Part
from bikewright.model.values import value
from bikewright.units import UNITS, convert

SAME_RATE = 0.005
"""Two coil rates within half a per cent are the same coil; stock steps are 5 to 10 per cent apart."""


@value
class Shelf:
    """All parts of one kind."""

    kind: str
    parts: tuple[Part, ...] = ()


@value
class Stock:
    """All shelves."""

    shelves: tuple[Shelf, ...] = ()

    def shelf(self, kind: str) -> tuple[Part, ...]:
        """The parts of one kind; empty where there are none."""
        return next((shelf.parts for shelf in self.shelves if shelf.kind == kind), ())

    def part(self, kind: str, name: str) -> Part:
        """One part.

        Raises
        ------
        AddressError
            If there is none of that name: names the nearest and lists what there is.
        """
        shelf = {part.name: part for part in self.shelf(kind)}
        if name in shelf:
            return shelf[name]
        near = get_close_matches(name, shelf, n=1)
        guess = f" Did you mean {near[0]}?" if near else ""
        raise AddressError(f"no {kind} is called '{name}'.{guess} There are: {', '.join(shelf) or 'none'}.")

    def with_shelf(self, kind: str, parts: tuple[Part, ...]) -> "Stock":
        """The stock with other parts of one kind."""
        shelves = {shelf.kind: shelf for shelf in self.shelves}
        shelves[kind] = Shelf(kind=kind, parts=parts)
        return Stock(shelves=tuple(shelf for shelf in shelves.values() if shelf.parts))

    def coil_of_rate(self, rate_n_per_mm: float) -> Coil:
        """The stock coil with this printed rate.

        Raises
        ------
        AddressError
            If no coil has it: names the nearest steps in stock.
        """
        coils = sorted(
            (part for part in self.shelf("coil") if isinstance(part, Coil)), key=lambda coil: coil.rate_n_per_mm
        )
        for coil in coils:
            if abs(coil.rate_n_per_mm - rate_n_per_mm) <= SAME_RATE * coil.rate_n_per_mm:
                return coil
        nearest = sorted(coils, key=lambda coil: abs(coil.rate_n_per_mm - rate_n_per_mm))[:2]
        steps = " and ".join(
            f"{convert(coil.rate_n_per_mm, 'n_per_mm', 'lbf_in'):.0f} {UNITS['lbf_in'].symbol}" for coil in nearest
        )
        wanted = f"{rate_n_per_mm:.1f} N/mm ({convert(rate_n_per_mm, 'n_per_mm', 'lbf_in'):.0f} lbf/in)"
        raise AddressError(f"no coil in stock has {wanted}; nearest: {steps or 'none, the shelf is empty'}.")
