"""The written material of the demo, read from the files beside this module."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any


def read(name: str) -> dict[str, Any]:
    """One file of material by its name without ending."""
    text = (files("hangar.demo") / "written" / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
