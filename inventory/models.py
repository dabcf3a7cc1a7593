"""What we own: places, parts, what was measured on them, what happened to them, who has them."""

from __future__ import annotations

import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from hangar.clubs.models import ONE_OWNER, Club, Owned, User
from hangar.fields import NameField, NumberListField, measure
from inventory.codes import new_code
from inventory.kinds import DataSheet, kind_choices
from inventory.querysets import (
    ClaimQuerySet,
    LoanQuerySet,
    LogEntryQuerySet,
    OfferQuerySet,
    PartEventQuerySet,
    PartQuerySet,
    PartRecordQuerySet,
    PlaceQuerySet,
)


class Place(Owned):
    """A box, drawer, bag or shelf; places lie in places."""

    name = NameField(max_length=60)
    parent = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="children"
    )
    path = models.CharField(max_length=400, editable=False, db_index=True)

    objects = PlaceQuerySet.as_manager()

    class Meta:
        ordering = ("name", "pk")
        constraints = (ONE_OWNER,)

    def __str__(self) -> str:
        return self.name


class Source(models.TextChoices):
    """Where a figure comes from."""

    WEIGHED = "weighed", "weighed"
    MEASURED = "measured", "measured"
    SHEET = "sheet", "maker's sheet"
    COMPUTED = "computed", "computed"
    GUESSED = "guessed", "guessed"
    UNKNOWN = "unknown", "unknown"


class Condition(models.TextChoices):
    """How a part is."""

    NEW = "new", "new"
    GOOD = "good", "good"
    WORN = "worn", "worn"
    SUSPECT = "suspect", "suspect"
    BROKEN = "broken", "broken"
    RETIRED = "retired", "retired"


class Part(Owned):
    """One thing you can hold, or a bag of alike consumables with a count.

    `mass_g` and what goes with it repeat the part's latest weighing, so that lists need no join;
    `fitted_count` repeats its open fittings, so that the database itself refuses one too many.
    """

    code = models.CharField(max_length=12, unique=True, default=new_code, editable=False)
    sheet = models.ForeignKey(DataSheet, models.PROTECT, related_name="parts")
    kind = models.CharField(max_length=24, choices=kind_choices, editable=False)
    name = NameField(max_length=80, blank=True, help_text="A name of its own, if it has one")
    condition = models.CharField(max_length=8, choices=Condition, default=Condition.GOOD)
    out_of_service = models.CharField(max_length=200, blank=True, editable=False)
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="parts")
    is_bag = models.BooleanField(default=False, help_text="A bag of alike pieces with a count")
    count = models.PositiveIntegerField(default=1, validators=[MaxValueValidator(100_000)])
    fitted_count = models.PositiveIntegerField(default=0, editable=False)
    has_free = models.BooleanField(default=True, editable=False)
    mass_g = measure("Measured mass of one piece")
    mass_uncertainty_g = measure("Standard uncertainty of that mass")
    mass_source = models.CharField(max_length=8, choices=Source, blank=True)
    acquired_on = models.DateField(null=True, blank=True)
    notes = models.TextField(blank=True, max_length=4000)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = PartQuerySet.as_manager()

    class Meta:
        ordering = ("pk",)
        indexes = (
            models.Index(fields=("kind", "has_free", "id"), name="part_kind_free"),
            models.Index(fields=("person", "kind", "id"), name="part_person_kind"),
            models.Index(fields=("club", "kind", "id"), name="part_club_kind"),
        )
        constraints = (
            ONE_OWNER,
            models.CheckConstraint(
                condition=Q(fitted_count__lte=F("count")),
                name="part_not_fitted_twice",
                violation_error_message="More pieces would be fitted than there are.",
            ),
            models.CheckConstraint(
                condition=Q(has_free=True, fitted_count__lt=F("count"))
                | Q(has_free=False, fitted_count=F("count")),
                name="part_free_flag_true",
            ),
            models.CheckConstraint(
                condition=Q(is_bag=True) | Q(count=1),
                name="part_single_counts_one",
                violation_error_message="Only a bag of alike pieces has a count.",
            ),
            models.CheckConstraint(
                condition=Q(mass_g__isnull=True) | Q(mass_g__gt=0),
                name="part_mass_positive",
                violation_error_message="A measured mass is above zero.",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.display_name}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep the columns that repeat others true."""
        self.kind = self.sheet.kind
        self.has_free = self.fitted_count < self.count
        super().save(*args, **kwargs)

    def clean(self) -> None:
        """Refuse a place of another owner."""
        if self.place and (self.place.person_id, self.place.club_id) != (
            self.person_id,
            self.club_id,
        ):
            raise ValidationError({"place": "This place belongs to somebody else."})

    @property
    def display_name(self) -> str:
        """Its own name, else that of its sheet; the sheet must have been loaded."""
        return self.name or str(self.sheet)


class Measurement(models.Model):
    """One figure found on one part; later entries of the same name supersede it."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="measurements")
    name = models.CharField(
        max_length=40, help_text="Column the figure belongs to, for example mass_g or width_mm"
    )
    value = models.JSONField(help_text="A number, or a list of numbers, in the unit of the name")
    uncertainty = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1e6)]
    )
    source = models.CharField(max_length=8, choices=Source, default=Source.MEASURED)
    measured_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    objects = PartRecordQuerySet.as_manager()

    class Meta:
        ordering = ("part", "name", "measured_at", "pk")
        indexes = (models.Index(fields=("part", "name"), name="measurement_part_name"),)

    def __str__(self) -> str:
        return f"{self.name} = {self.value}"


class PartEvent(models.Model):
    """What happened to a part, when and by whom; never changed afterwards."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="events")
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    verb = models.CharField(max_length=24)
    text = models.CharField(max_length=300)
    data = models.JSONField(default=dict, blank=True)

    objects = PartEventQuerySet.as_manager()

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=("part", "-at"), name="event_part_at"),)

    def __str__(self) -> str:
        return self.text


class Incident(models.TextChoices):
    """What can happen to a pack that takes it out of service."""

    SWOLLEN = "swollen", "swollen"
    PUNCTURED = "punctured", "punctured"
    CRUSHED = "crushed", "crushed or bent"
    CRASHED = "crashed", "in a crash, not inspected"
    OVERDISCHARGED = "overdischarged", "discharged below its least voltage"
    OVERHEATED = "overheated", "overheated"
    WET = "wet", "wet"
    SMELL = "smell", "smells or leaks"
    OTHER = "other", "other damage"

    @property
    def pack_so_harmed(self) -> str:
        """The pack in words, where the harm lasts; blank where an inspection can clear it."""
        return {
            Incident.SWOLLEN: "A swollen pack",
            Incident.PUNCTURED: "A punctured pack",
            Incident.CRUSHED: "A crushed or bent pack",
            Incident.WET: "A pack that was wet",
            Incident.SMELL: "A pack that smells or leaks",
        }.get(self, "")

    @property
    def is_lasting(self) -> bool:
        """Whether no inspection puts the pack back: common practice, no source."""
        return bool(self.pack_so_harmed)


class LogEntry(models.Model):
    """One thing that happened to a pack, as logged."""

    class Kind(models.TextChoices):
        CHARGE = "charge", "charge"
        USE = "use", "use"
        REST = "rest", "rest reading"
        RESISTANCE = "resistance", "resistance reading"
        STORAGE = "storage", "put to storage"
        INCIDENT = "incident", "incident"
        INSPECTION = "inspection", "inspection"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    pack = models.ForeignKey(Part, models.PROTECT, related_name="log")
    kind = models.CharField(max_length=10, choices=Kind)
    started_at = models.DateTimeField(default=timezone.now)
    charge_mah = measure("Charge taken out, or put back", maximum=1_000_000)
    duration_s = measure("How long it took", maximum=10_000_000)
    voltage_min_v = measure("Least pack voltage under load", maximum=200)
    current_max_a = measure("Highest current", maximum=10_000)
    rest_v = NumberListField(help_text="Voltage of each cell at rest", minimum=0, maximum=5)
    rested_h = measure("Hours at rest before that reading", maximum=100_000)
    resistance_mohm = NumberListField(
        help_text="Resistance of each cell", minimum=0, maximum=10_000
    )
    temperature_c = measure("Temperature of the pack", minimum=-60, maximum=200)
    is_full = models.BooleanField(
        default=False, help_text="Did the charge run to its end, to the pack's full voltage"
    )
    is_capacity_test = models.BooleanField(
        default=False, help_text="Was it a controlled discharge from full to the least voltage"
    )
    counter_mah = measure("What the charger's running counter showed", maximum=10_000_000)
    counter_cycles = models.PositiveIntegerField(
        null=True, blank=True, help_text="What a cycle counter on the charger or pack showed"
    )
    aircraft_cells = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Cells in series that the aircraft reported"
    )
    thickness_mm = measure("Thickness of the pack, to see swelling", maximum=1000)
    incident = models.CharField(max_length=14, choices=Incident, blank=True)
    method = models.CharField(max_length=60, blank=True, help_text="Instrument and method")
    note = models.CharField(max_length=300, blank=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    log_file = models.ForeignKey(
        "inventory.LogFile", models.PROTECT, null=True, blank=True, related_name="entries"
    )
    log_file_row = models.PositiveIntegerField(null=True, blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = LogEntryQuerySet.as_manager()

    class Meta:
        ordering = ("-started_at", "-recorded_at", "pk")
        verbose_name_plural = "log entries"
        indexes = (
            models.Index(fields=("pack", "-started_at"), name="log_pack_started"),
            models.Index(fields=("pack", "recorded_at"), name="log_pack_recorded"),
        )
        constraints = (
            models.CheckConstraint(
                condition=(Q(kind="incident") & ~Q(incident=""))
                | (~Q(kind="incident") & Q(incident="")),
                name="log_incident_named",
                violation_error_message="An incident entry, and no other, says what happened.",
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.started_at:%Y-%m-%d %H:%M}"

    def clean(self) -> None:
        """Refuse an incident that is not named, and a name on any other entry."""
        is_incident = self.kind == LogEntry.Kind.INCIDENT
        if is_incident and not self.incident:
            raise ValidationError({"incident": "Say what happened."})
        if self.incident and not is_incident:
            raise ValidationError({"incident": "Only an incident entry says what happened."})


class PackHealth(models.Model):
    """What the log of a pack said when it was last judged: kept so that it is not judged again.

    It holds for as long as the digest of all that was judged is the same, until `good_until`.
    """

    part = models.OneToOneField(
        Part, models.CASCADE, primary_key=True, related_name="stored_health"
    )
    digest = models.CharField(max_length=64)
    judged_at = models.DateTimeField()
    good_until = models.DateTimeField(null=True)
    report = models.JSONField()

    def __str__(self) -> str:
        return f"Health of {self.part_id} on {self.judged_at:%Y-%m-%d}"


class Tenure(models.Model):
    """A time during which a part is promised to or with somebody."""

    started_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True
        ordering = ("-started_at", "-pk")

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} since {self.started_at:%Y-%m-%d}"


class Offer(Tenure):
    """A part offered to a club's pool."""

    class Terms(models.TextChoices):
        LOAN = "loan", "loan only"
        USE_UP = "use_up", "may be used up"
        ASK = "ask", "ask first"

    part = models.ForeignKey(Part, models.CASCADE, related_name="offers")
    club = models.ForeignKey(Club, models.CASCADE, related_name="offers")
    terms = models.CharField(max_length=8, choices=Terms, default=Terms.LOAN)
    deposit = models.CharField(
        max_length=80, blank=True, help_text="What is left with the owner meanwhile, in words"
    )

    objects = OfferQuerySet.as_manager()

    class Meta(Tenure.Meta):
        constraints = (
            models.UniqueConstraint(
                fields=("part", "club"),
                condition=Q(ended_at__isnull=True),
                name="one_open_offer_per_club",
            ),
        )


class Claim(Tenure):
    """A part put aside for a member until a day."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="claims")
    claimant = models.ForeignKey(User, models.PROTECT, related_name="claims")
    purpose = models.CharField(max_length=120, blank=True, help_text="What it is put aside for")
    until_on = models.DateField(null=True, blank=True)

    objects = ClaimQuerySet.as_manager()

    class Meta(Tenure.Meta):
        constraints = (
            models.UniqueConstraint(
                fields=("part",),
                condition=Q(ended_at__isnull=True),
                name="one_open_claim_per_part",
            ),
        )


class Loan(Tenure):
    """A part lent to a member until a day."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="loans")
    borrower = models.ForeignKey(User, models.PROTECT, related_name="loans")
    due_on = models.DateField(null=True, blank=True)
    condition_out = models.CharField(max_length=8, choices=Condition)
    condition_in = models.CharField(max_length=8, choices=Condition, blank=True)
    count_out = models.PositiveIntegerField(default=1, editable=False)
    count_in = models.PositiveIntegerField(null=True, blank=True)
    mass_out_g = measure("Mass when handed out", positive=True)
    mass_in_g = measure("Mass when it came back", positive=True)
    damage = models.CharField(max_length=200, blank=True, help_text="What was damaged")
    deposit = models.CharField(max_length=80, blank=True, help_text="What was left meanwhile")
    was_lost = models.BooleanField(default=False, editable=False)

    objects = LoanQuerySet.as_manager()

    class Meta(Tenure.Meta):
        constraints = (
            models.UniqueConstraint(
                fields=("part",),
                condition=Q(ended_at__isnull=True),
                name="one_open_loan_per_part",
            ),
        )


# Last, because these lean on nothing here; Django finds models through this module.
from inventory.imports.models import ColumnMatching, ImportedRow, ImportRun  # noqa: E402, F401
from inventory.log_files.models import LogFile, LogFileBlock, LogRecipe  # noqa: E402, F401
from inventory.pool.models import (  # noqa: E402, F401
    CalendarFeed,
    LendingRule,
    Notice,
    NoticeChoice,
    Wait,
)
