"""Short ways to write log rows in tests."""

from datetime import UTC, datetime, timedelta
from typing import Any

from inventory.health.entries import Chemistry, Kind, LogEntry, PackFacts

START = datetime(2025, 1, 1, 12, tzinfo=UTC)


def entry(kind: Kind, day: float, **values: Any) -> LogEntry:
    row_id = values.pop("id", f"{kind}-{day}")
    return LogEntry(id=row_id, kind=kind, started_at=START + timedelta(days=day), **values)


def facts(**values: Any) -> PackFacts:
    defaults: dict[str, Any] = {"chemistry": Chemistry.LIPO, "cells": 4, "capacity_mah": 2200.0}
    return PackFacts(**(defaults | values))
