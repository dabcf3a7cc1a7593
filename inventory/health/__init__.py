"""The health of a pack, judged from its log: plain Python on frozen records."""

from inventory.health.cycles import Cycles, count_cycles
from inventory.health.entries import Chemistry, Kind, LogEntry, PackFacts
from inventory.health.reasons import Reason, Verdict
from inventory.health.verdict import Health, judge

__all__ = [
    "Chemistry",
    "Cycles",
    "Health",
    "Kind",
    "LogEntry",
    "PackFacts",
    "Reason",
    "Verdict",
    "count_cycles",
    "judge",
]
