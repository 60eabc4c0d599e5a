"""Base tunes: set-ups that somebody has ridden and would ride again. Data only, in workshop units.

A base tune holds the build as it was ridden, with rider, pressures and clicks in it. Recommendations without a
measured damper are offsets from it.
"""

from bikewright.model.build import Build
from bikewright.model.values import Name, Text, value


@value
class BaseTune:
    """A ridden set-up."""

    name: Name
    build: Build
    """As it was ridden: parts, chips, rider, pressures, clicks and tyre pressures."""
    note: Text = ""
    """What was found."""
    date: Text = ""
    """Day on which it was ridden, as 2026-05-30."""
