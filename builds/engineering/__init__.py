"""Engineering formulas in SI units: plain Python."""
