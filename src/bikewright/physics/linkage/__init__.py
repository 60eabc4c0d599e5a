"""Planar linkages: where every pin goes as the shock closes, and what follows from it."""
