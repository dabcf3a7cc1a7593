"""Aircraft, their set-up, what was measured on them, and what-ifs."""

from builds.models.aircraft import Build, Fitting, GroundChoice, Position, Revision
from builds.models.answers import Answer
from builds.models.checks import CheckDone, Crash, FieldSheet
from builds.models.rule_limits import RuleLimit
from builds.models.setup import ControlSurface, PowerReading, ThrowRecord, WeighIn
from builds.models.variants import Variant, VariantChange

__all__ = (
    "Answer",
    "Build",
    "CheckDone",
    "ControlSurface",
    "Crash",
    "FieldSheet",
    "Fitting",
    "GroundChoice",
    "Position",
    "PowerReading",
    "Revision",
    "RuleLimit",
    "ThrowRecord",
    "Variant",
    "VariantChange",
    "WeighIn",
)
