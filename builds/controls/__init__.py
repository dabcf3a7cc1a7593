"""Control set-up of a build: arm holes, travel, throws measured and worked out. Plain Python."""

from builds.controls.holes import HoleTable, Mixing, Reach
from builds.controls.linkages import AXES, Setting, read_setting
from builds.controls.measured import Compared, Conflict
from builds.controls.set_up import SurfaceSetUp, set_up_of, set_ups_of

__all__ = [
    "AXES",
    "Compared",
    "Conflict",
    "HoleTable",
    "Mixing",
    "Reach",
    "Setting",
    "SurfaceSetUp",
    "read_setting",
    "set_up_of",
    "set_ups_of",
]
