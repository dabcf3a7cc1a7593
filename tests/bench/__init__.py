"""The benchmark: `hangar bench`, or `python -m tests.bench`, in a checkout."""
