"""Drawings as SVG text, made on the server: marks, and charts of curves. Plain Python."""
