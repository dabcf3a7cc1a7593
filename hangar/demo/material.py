"""The written material of the demo, read from the files beside this module."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any


def read(name: str) -> dict[str, Any]:
    """One file of material by its name without ending."""
    return tomllib.loads(read_bytes(f"{name}.toml").decode())


def read_bytes(file_name: str) -> bytes:
    """One file of material as it is."""
    return (files("hangar.demo") / "written" / file_name).read_bytes()
