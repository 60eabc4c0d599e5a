"""Where the pins of a build are drawn, and at which address each coordinate is changed.

Question answered   Which value does a screen change when a pin is dragged?
Method              A size's own coordinate where it has one, else the common one.
Axes and signs      Frame axes as in the files: origin at the bottom bracket, x forward, z up.
Left out            Where pins stand in a state: see `bikewright.reports.screen`.
"""

from typing import Any

from bikewright.model.build import Build


def pins_data(build: Build) -> list[dict[str, Any]]:
    """Each pin with its drawn place in this size and the addresses of both coordinates."""
    if build.frame.linkage is None:
        return []
    own = {pin.name: pin for pin in build.geometry_row.linkage.pins}
    found = []
    for pin in build.frame.linkage.pins:
        row: dict[str, Any] = {"name": pin.name, "joins": list(pin.joins)}
        for axis in ("x", "z"):
            field = f"{axis}_mm"
            moved = getattr(own.get(pin.name), field, None)
            address = f"linkage.pins.{pin.name}.{field}"
            row[axis] = getattr(pin, field) if moved is None else moved
            row[f"{axis}_address"] = address if moved is None else f"sizes.{build.size}.{address}"
        found.append(row)
    return found
