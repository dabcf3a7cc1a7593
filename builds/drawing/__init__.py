"""A build drawn to scale from above, and its balance along x, as SVG. Plain Python."""

from builds.drawing.balance import draw_balance
from builds.drawing.plan import DrawnPart, PlanDrawing, draw_plan

__all__ = ["DrawnPart", "PlanDrawing", "draw_balance", "draw_plan"]
