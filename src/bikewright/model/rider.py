"""Riders and what they carry. Data only, in workshop units."""

from typing import Literal

from pydantic import Field

from bikewright.model.values import Kg, MaybeMm, Mm, Name, Text, value


@value
class Load:
    """Something carried: where it sits and what it weighs."""

    name: Name
    mass_kg: Kg = Field(gt=0, le=40)
    on: Literal["rider", "frame"] = "frame"
    x_mm: Mm = Field(default=0.0, ge=-1500, le=1500)
    z_mm: Mm = Field(default=0.0, ge=-500, le=1800)


@value
class Rider:
    """A rider, from what a tape and a scale say."""

    name: Name
    mass_kg: Kg = Field(ge=20, le=200)
    """In riding kit."""
    stature_mm: Mm = Field(ge=1000, le=2300)
    inseam_mm: MaybeMm = Field(default=None, ge=400, le=1150)
    span_mm: MaybeMm = Field(default=None, ge=900, le=2500)
    build: Literal["male", "female"] = "male"
    """Which column of the segment tables to use."""
    saddle_height_mm: MaybeMm = Field(default=None, ge=450, le=1000)
    """Bottom bracket to the top of the saddle."""
    foot_ahead_mm: Mm = Field(default=0.0, ge=-60, le=60)
    """Ball of the foot ahead of the pedal axle; positive with the pedal under the midfoot."""
    note: Text = ""
