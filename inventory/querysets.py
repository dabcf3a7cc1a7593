"""Reads of the inventory: what a person may see, change, use and fit."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, datetime
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Self

from django.db import models
from django.db.models import F, OuterRef, Q, Subquery, Value
from django.db.models.expressions import RawSQL
from django.db.models.functions import Coalesce, Least
from django.utils import timezone

from hangar.clubs.querysets import OwnedQuerySet, Viewer, club_ids
from inventory.kinds.base import DataSheet

if TYPE_CHECKING:
    from inventory.models import Place

KEEPERS = ("keeper", "officer")
# What these say names people and clubs that the reader may not know.
BETWEEN_OTHERS = (
    "offered", "withdrawn", "claimed", "released", "waited", "agreed", "lent", "extended",
    "returned", "transferred", "lost", "reported", "fitted", "removed",
)  # fmt: skip
FAR_OFF = Value(datetime(9999, 1, 1, tzinfo=UTC), output_field=models.DateTimeField())
# Parts offered, lent or put aside. Every request of the inventory asks for them, and put together
# from querysets this alone takes a quarter of the time of a list.
SHARED_WITH = """
SELECT offer.part_id FROM inventory_offer offer
JOIN clubs_membership membership ON membership.club_id = offer.club_id
WHERE offer.ended_at IS NULL AND membership.left_at IS NULL AND membership.user_id = %s
UNION ALL SELECT part_id FROM inventory_loan WHERE ended_at IS NULL AND borrower_id = %s
UNION ALL SELECT part_id FROM inventory_claim
WHERE ended_at IS NULL AND claimant_id = %s AND (until_on IS NULL OR until_on >= %s)
"""


class PlaceQuerySet(OwnedQuerySet):
    """Places where parts lie."""

    def within(self, place: Place) -> Self:
        """The place itself and all that is inside it."""
        return self.filter(path__startswith=place.path)


class PartQuerySet(OwnedQuerySet):
    """Parts, narrowed by what a person may do with them."""

    def visible_to(self, user: Viewer) -> Self:
        """Own parts, those of the person's clubs, and those lent, claimed or offered to them."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(person=user)
            | Q(club__in=club_ids(user))
            | Q(pk__in=RawSQL(SHARED_WITH, [*[user.pk] * 3, timezone.localdate()]))  # noqa: S611
        )

    def fittable_by(self, user: Viewer) -> Self:
        """Parts the person may put into an aircraft now: own, kept, lent to or claimed by them.

        A part that is lent out or claimed by someone else is not theirs to fit, whoever owns it.
        """
        if not user.is_authenticated:
            return self.none()
        lent_out = self._shared("Loan").exclude(borrower=user)
        claimed_away = self._shared("Claim").exclude(claimant=user)
        return self.filter(
            Q(person=user)
            | Q(club__in=club_ids(user, roles=KEEPERS))
            | Q(pk__in=self._shared("Loan", borrower=user))
            | Q(pk__in=self._shared("Claim", claimant=user))
        ).exclude(Q(pk__in=lent_out.values("part")) | Q(pk__in=claimed_away.values("part")))

    def loggable_by(self, user: Viewer) -> Self:
        """Packs whose log the person keeps: those they may change, borrowed or put aside."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(person=user)
            | Q(club__in=club_ids(user, roles=KEEPERS))
            | Q(pk__in=self._shared("Loan", borrower=user))
            | Q(pk__in=self._shared("Claim", claimant=user))
        )

    def candidates_for(self, user: Viewer) -> Self:
        """Parts the person may use or ask for: what they see and no other has lent or claimed."""
        if not user.is_authenticated:
            return self.none()
        lent_out = self._shared("Loan").exclude(borrower=user)
        claimed_away = self._shared("Claim").exclude(claimant=user)
        return self.visible_to(user).exclude(
            Q(pk__in=lent_out.values("part")) | Q(pk__in=claimed_away.values("part"))
        )

    def in_pool_of(self, user: Viewer) -> Self:
        """Parts that the person's clubs own or that are offered to them."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(club__in=club_ids(user)) | Q(pk__in=self._shared("Offer", club__in=club_ids(user)))
        )

    def from_sources(self, user: Viewer, sources: Collection[str]) -> Self:
        """Parts by how the person comes by them: `own`, the `pool` of a club, other `members`."""
        if not user.is_authenticated:
            return self.none()
        own = (
            Q(person=user)
            | Q(pk__in=self._shared("Loan", borrower=user))
            | Q(pk__in=self._shared("Claim", claimant=user))
        )
        pool = Q(club__in=club_ids(user))
        asked = {"own": own, "pool": pool & ~own, "members": ~own & ~pool}
        wanted = [asked[name] for name in sources]
        return self.filter(reduce(or_, wanted)) if wanted else self.none()

    def in_service(self) -> Self:
        """Parts that are neither broken, retired nor taken out of service."""
        return self.exclude(condition__in=("broken", "retired")).filter(out_of_service="")

    def free(self) -> Self:
        """Parts of which at least one piece is in no aircraft."""
        return self.filter(has_free__in=[True])

    def with_sheets(self) -> Self:
        """Parts with the typed columns of their sheets, in the same query."""
        accessors = (f"sheet__{kind.replace('_', '')}" for kind in DataSheet.registry)
        return self.select_related("sheet", "place", "person", "club", *accessors)

    def with_known_mass(self) -> Self:
        """Parts with `known_mass_g`: the measured mass, else that of the sheet."""
        return self.annotate(known_mass_g=Coalesce("mass_g", "sheet__mass_g"))

    def matching(self, words: str) -> Self:
        """Parts whose code, names, maker or notes hold every one of the words."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(code__icontains=word.replace("-", ""))
                | Q(name__icontains=word)
                | Q(sheet__name__icontains=word)
                | Q(sheet__maker__icontains=word)
                | Q(notes__icontains=word)
            )
        return found

    def _shared(self, model_name: str, **narrow: object) -> models.QuerySet:
        model = self.model._meta.apps.get_model("inventory", model_name)
        return model.objects.open().filter(**narrow).values("part")


class OpenQuerySet(models.QuerySet):
    """Records with a beginning and an end that may still be open."""

    def open(self) -> Self:
        """Records that have not ended."""
        return self.filter(ended_at__isnull=True)


class OfferQuerySet(OpenQuerySet):
    """Parts offered to a club's pool."""

    def visible_to(self, user: Viewer) -> Self:
        """Open offers to the person's clubs, and all offers of their own parts."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(part__person=user)
            | Q(part__club__in=club_ids(user))
            | Q(club__in=club_ids(user), ended_at__isnull=True)
        )

    def editable_by(self, user: Viewer) -> Self:
        """Offers of parts the person may change."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(part__person=user) | Q(part__club__in=club_ids(user, roles=KEEPERS)))


class ClaimQuerySet(OpenQuerySet):
    """Parts put aside for somebody, each perhaps until a day."""

    def open(self) -> Self:
        """Claims that have neither ended nor run out."""
        return super().open().exclude(until_on__lt=timezone.localdate())

    def expired(self) -> Self:
        """Claims that ran out and that nobody has ended."""
        return super().open().filter(until_on__lt=timezone.localdate())

    def visible_to(self, user: Viewer) -> Self:
        """The person's own claims, and claims on parts they own or whose pool they share."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(claimant=user) | Q(part__person=user) | Q(part__club__in=club_ids(user))
        )

    def editable_by(self, user: Viewer) -> Self:
        """Claims the person made or whose part they own or keep."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(claimant=user)
            | Q(part__person=user)
            | Q(part__club__in=club_ids(user, roles=KEEPERS))
        )


class LoanQuerySet(OpenQuerySet):
    """Parts lent to a member."""

    def visible_to(self, user: Viewer) -> Self:
        """What the person borrowed, what they own, and loans of club parts to its keepers."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(borrower=user)
            | Q(part__person=user)
            | Q(part__club__in=club_ids(user, roles=KEEPERS))
        )

    def editable_by(self, user: Viewer) -> Self:
        """Loans of parts the person owns or keeps: they hand out and take back."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(part__person=user) | Q(part__club__in=club_ids(user, roles=KEEPERS)))


class PartRecordQuerySet(models.QuerySet):
    """Records that belong to a part: measurements, events, log entries."""

    part_field = "part"

    def visible_to(self, user: Viewer) -> Self:
        """Records of parts the person may see."""
        return self._of(self._parts().visible_to(user))

    def editable_by(self, user: Viewer) -> Self:
        """Records of parts the person may change."""
        return self._of(self._parts().editable_by(user))

    def _parts(self) -> PartQuerySet:
        return self.model._meta.apps.get_model("inventory", "Part").objects.all()

    def _of(self, parts: PartQuerySet) -> Self:
        return self.filter(**{f"{self.part_field}__in": parts.values("pk")})


class PartEventQuerySet(PartRecordQuerySet):
    """What happened to parts.

    Owner and club see all of it. Who sees a member's own part by an offer, a claim or a loan sees
    what happened to the part since then, and of who had it meanwhile only what concerns themselves.
    """

    def visible_to(self, user: Viewer) -> Self:
        """Events of parts the person may see, as far as they may know of them."""
        if not user.is_authenticated:
            return self.none()
        own = Q(part__person=user) | Q(part__club__in=club_ids(user))
        concerns = Q(by=user) | Q(data__person=user.pk)
        since = Least(
            *(
                Coalesce(Subquery(began), FAR_OFF)
                for began in (
                    self._began("Offer", club__in=club_ids(user)),
                    self._began("Loan", borrower=user),
                    self._began("Claim", claimant=user),
                )
            )
        )
        shared = Q(part__in=self._parts().visible_to(user).values("pk"), at__gte=F("seen_since"))
        return self.annotate(seen_since=since).filter(
            own | (shared & (concerns | ~Q(verb__in=BETWEEN_OTHERS)))
        )

    def _began(self, model_name: str, **narrow: object) -> models.QuerySet:
        model = self.model._meta.apps.get_model("inventory", model_name)
        found = model.objects.open().filter(part=OuterRef("part"), **narrow)
        return found.order_by("started_at").values("started_at")[:1]


class LogEntryQuerySet(PartRecordQuerySet):
    """Entries of a pack's log."""

    part_field = "pack"

    def standing(self) -> Self:
        """Entries that no later entry corrects."""
        return self.filter(corrected_by__isnull=True)
