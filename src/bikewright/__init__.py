"""bikewright: one model of a mountain bike, and one whole-bike answer to any change of it.

The rooms, and which may import which (a test holds the arrows):

errors, units, quantities, sources -> model -> physics -> studies -> reports -> interfaces; records beside physics.
"""

__version__ = "0.1.0"
