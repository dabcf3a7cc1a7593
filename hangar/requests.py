"""Requests as pages behind the sign-in get them."""

from __future__ import annotations

from django.http import HttpRequest

from hangar.clubs.models import User


class PersonRequest(HttpRequest):
    """A request whose person is known; only a name for type checks, nobody makes one."""

    user: User
