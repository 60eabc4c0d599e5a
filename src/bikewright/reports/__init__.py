"""Answers: wording, tables, charts and drawings made from what the studies found. Computes no engineering number."""
