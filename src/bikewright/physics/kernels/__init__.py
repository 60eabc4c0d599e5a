"""Bare array arithmetic, apart from the functions that name things, check things and raise.

Every module here but `compile` holds plain Python functions on NumPy arrays, free of numba. A module lists in
``SIGNATURES`` which of them are called from outside and with what array types; `compile` reads that table.
"""
