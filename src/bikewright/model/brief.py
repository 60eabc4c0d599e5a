"""The brief: what the bike is meant to be, quantity by quantity. Data only."""

from typing import Annotated

from pydantic import Field

from bikewright.model.values import Named, Number, Text, value


@value
class BriefLine:
    """One quantity, the band it shall lie in, and how small a change of it is felt."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    """Address of the quantity: ``head_angle_deg`` or ``head_angle_deg@stated-sag``."""
    low: Number | None = None
    high: Number | None = None
    felt_step: Annotated[Number | None, Field(gt=0)] = None
    """Overrides the catalogue's step, in the quantity's unit."""
    size: Text = ""
    """Only for this size; empty: for every size."""
    rider: Text = ""
    """Only with this rider on the bike; empty: with whoever the build has."""
    why: Text = ""


@value
class Brief:
    """Every line of the brief, in the order in which it was written."""

    lines: Annotated[tuple[BriefLine, ...], Named] = ()
