"""What a person who leaves a club has of it in their aircraft."""

from __future__ import annotations

from builds.models import Fitting
from hangar.clubs.models import Membership, User
from inventory.models import Part
from inventory.operations.leaving import refuse_while_held


def refuse_fitted(membership: Membership, by: User) -> None:  # noqa: ARG001
    """Refuse to end a membership while parts of the club are in the leaver's own aircraft."""
    fitted = Fitting.objects.open().filter(build__person=membership.user)
    refuse_while_held(Part.objects.filter(pk__in=fitted.values("part")), membership)
