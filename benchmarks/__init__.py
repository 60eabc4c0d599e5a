"""What each claim about speed rests on: measured against general-purpose libraries on the same work.

Run as ``python -m benchmarks``. docs/benchmarks.md tells what is measured and how.
"""
