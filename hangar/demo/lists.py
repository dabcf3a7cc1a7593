"""A parts list that waits to be imported."""

from __future__ import annotations

from hangar.demo import material
from hangar.demo.people import ClubLife
from inventory.imports.applying import keep_list, read_list

FILE_NAME = "newcomer_parts.csv"


def keep_one(life: ClubLife) -> None:
    """Keep the newcomer's list, read and matched but not imported."""
    newcomer = life.users["newcomer"]
    data = material.read_bytes(FILE_NAME)
    keep_list(read_list(by=newcomer, person=newcomer, club=None, file_name=FILE_NAME, data=data))
