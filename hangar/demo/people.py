"""The demo's people, their clubs and the limits of the field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hangar.clubs.models import Club, Role, User
from hangar.clubs.operations import (
    add_radio_limit,
    change_field,
    change_mass_line,
    found_club,
    invite,
    join_club,
)

QUILLMERE = "Quillmere Model Flying Club"
THORNEHOLM = "Thorneholm"
MASS_LINE_G = 250.0
FIELD = {"field_latitude_deg": 53.3, "field_longitude_deg": -0.3, "field_elevation_m": 18.0}
MEMBERS = {"builder": Role.MEMBER, "newcomer": Role.MEMBER, "keeper": Role.KEEPER}
LIMITS = (
    {"band_min_mhz": 863.0, "band_max_mhz": 870.0},
    {"band_min_mhz": 902.0, "band_max_mhz": 928.0, "is_allowed": False},
    {"band_min_mhz": 2400.0, "band_max_mhz": 2483.5},
    {"band_min_mhz": 5725.0, "band_max_mhz": 5875.0, "radiated_power_max_mw": 25.0},
)
LIMIT_SOURCE = "Entered by the treasurer for this field. Local rules come first."
GUESTS_EXPECTED = 5


@dataclass(frozen=True)
class ClubLife:
    """Who there is, by user name, and the club they share."""

    users: Mapping[str, User]
    club: Club

    def owner(self, name: str) -> dict[str, Any]:
        """The owner of that name, as the column it goes into."""
        return {"club": self.club} if name == "quillmere" else {"person": self.users[name]}

    def acting_for(self, name: str) -> User:
        """The person who acts for an owner: the keeper for the club."""
        return self.users["keeper" if name == "quillmere" else name]


def make(passwords: Mapping[str, str]) -> ClubLife:
    """Make the accounts and both clubs."""
    users = {
        name: User.objects.create_user(name, password=password)
        for name, password in passwords.items()
    }
    treasurer = users["treasurer"]
    club = found_club(name=QUILLMERE, by=treasurer)
    for name, role in MEMBERS.items():
        join_club(token=invite(club=club, by=treasurer, role=role).token, user=users[name])
    invite(club=club, by=treasurer, uses_max=GUESTS_EXPECTED)
    change_mass_line(club=club, mass_line_g=MASS_LINE_G, by=treasurer)
    change_field(club=club, by=treasurer, **FIELD)
    for limit in LIMITS:
        add_radio_limit(club=club, by=treasurer, source=LIMIT_SOURCE, **limit)
    found_club(name=THORNEHOLM, by=users["outsider"])
    return ClubLife(users, club)
