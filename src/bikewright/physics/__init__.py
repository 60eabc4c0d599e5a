"""Bicycle mechanics: one question per module, SI in and out, no files and no targets."""
