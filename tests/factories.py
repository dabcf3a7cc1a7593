"""Things to test with: people, clubs, a data sheet of every kind, parts, aircraft, records.

An owner is a person by default; give `club=` for a club's. A part whose owner is not given belongs
to the owner of its sheet. All makers are invented, and so are the figures.
"""

from datetime import timedelta

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from builds import operations as build_operations
from builds.models import Build, Position
from hangar.clubs.models import Club, Invitation, Membership, Role, User
from inventory import kinds
from inventory.models import Claim, Condition, Loan, LogEntry, Measurement, Offer, Part, Place, Wait

MAKERS = (
    "Tarrowden", "Fennarick", "Ostrelka", "Pellowick", "Ivesdale", "Corrimuir", "Saltgarth",
    "Dunmarrow",
)  # fmt: skip


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda number: f"person{number}")
    email = factory.LazyAttribute(lambda user: f"{user.username}@example.org")


class ClubFactory(DjangoModelFactory):
    class Meta:
        model = Club

    name = factory.Sequence(lambda number: f"Field {number} Flyers")
    slug = factory.Sequence(lambda number: f"field-{number}-flyers")


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    user = factory.SubFactory(UserFactory)
    club = factory.SubFactory(ClubFactory)
    role = Role.MEMBER


class InvitationFactory(DjangoModelFactory):
    class Meta:
        model = Invitation

    club = factory.SubFactory(ClubFactory)
    created_by = factory.SubFactory(UserFactory)
    expires_at = factory.LazyFunction(lambda: timezone.now() + timedelta(days=14))


class OwnedFactory(DjangoModelFactory):
    class Meta:
        abstract = True

    club = None
    person = factory.Maybe("club", None, factory.SubFactory(UserFactory))


class PlaceFactory(OwnedFactory):
    """A place at the top, or below `parent`, whose owner it takes."""

    class Meta:
        model = Place

    name = factory.Sequence(lambda number: f"Box {number}")

    @classmethod
    def _generate(cls, strategy, params):
        return super()._generate(strategy, _owner_from(params, "parent"))

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        place = super()._create(model_class, *args, **kwargs)
        place.path = f"{place.parent.path if place.parent else '/'}{place.pk}/"
        place.save()
        return place


class SheetFactory(OwnedFactory):
    class Meta:
        abstract = True

    maker = factory.Iterator(MAKERS)
    name = factory.Sequence(lambda number: f"type {number}")


STATIONS = (
    {"y_mm": 0.0, "leading_edge_x_mm": 60.0, "chord_mm": 190.0, "z_mm": 0.0},
    {"y_mm": 320.0, "leading_edge_x_mm": 155.0, "chord_mm": 110.0, "z_mm": 0.0},
)
TEMPLATE = (
    {"key": "airframe", "kind": "airframe", "name": "Airframe", "x_mm": 172.0},
    {"key": "motor", "kind": "motor", "name": "Motor", "x_mm": 258.0,
     "hole_pattern_mm": [16.0, 19.0]},
    {"key": "propeller", "kind": "propeller", "name": "Propeller", "x_mm": 272.0},
    {"key": "controller", "kind": "speed_controller", "name": "Speed controller", "x_mm": 215.0,
     "supply": "pack"},
    {"key": "servo-left", "kind": "servo", "name": "Servo, left", "x_mm": 185.0, "y_mm": -140.0,
     "supply": "servo_rail", "output": 3},
    {"key": "servo-right", "kind": "servo", "name": "Servo, right", "x_mm": 185.0, "y_mm": 140.0,
     "supply": "servo_rail", "output": 4},
    {"key": "receiver", "kind": "receiver", "name": "Receiver", "x_mm": 150.0,
     "supply": "board_5v"},
    {"key": "board", "kind": "flight_controller", "name": "Flight controller", "x_mm": 130.0,
     "supply": "pack"},
    {"key": "camera", "kind": "camera", "name": "Camera", "x_mm": 15.0, "width_mm": 19.0,
     "supply": "board_5v", "is_required": False},
    {"key": "video", "kind": "video_unit", "name": "Video unit", "x_mm": 170.0,
     "supply": "board_9v", "is_required": False},
    {"key": "pack", "kind": "pack", "name": "Pack", "x_mm": 66.0, "x_min_mm": 40.0,
     "x_max_mm": 95.0, "length_mm": 110.0, "width_mm": 40.0, "height_mm": 40.0},
)  # fmt: skip


class AirframeFactory(SheetFactory):
    """An airframe; `template=True` adds the usual positions, a list of dicts those."""

    class Meta:
        model = kinds.Airframe
        skip_postgeneration_save = True

    mass_g = 150.0
    layout = "flying_wing"
    datum = "nose"
    wing_stations = factory.LazyFunction(lambda: [dict(station) for station in STATIONS])
    cg_min_x_mm = 128.0
    cg_max_x_mm = 138.0
    cg_target_x_mm = 133.0
    takeoff_mass_max_g = 650.0
    propeller_diameter_max_mm = 140.0

    @factory.post_generation
    def template(self, create, extracted, **kwargs):
        for shape in TEMPLATE if extracted is True else extracted or ():
            kinds.TemplatePosition.objects.create(airframe=self, **shape)


class AntennaFactory(SheetFactory):
    class Meta:
        model = kinds.Antenna

    mass_g = 9.0
    band_min_mhz = 5600.0
    band_max_mhz = 6000.0
    gain_dbi = 1.2
    polarisation = "right"
    connector = "sma"
    connector_gender = "plug"


class CameraFactory(SheetFactory):
    class Meta:
        model = kinds.Camera

    mass_g = 8.5
    width_mm = 19.0
    video_system = "analogue"
    video_standard = "both"
    voltage_min_v = 4.5
    voltage_max_v = 20.0
    current_ma = 120.0


class FlightControllerFactory(SheetFactory):
    class Meta:
        model = kinds.FlightController

    mass_g = 24.0
    voltage_min_v = 7.0
    voltage_max_v = 30.0
    rail_5v_a = 2.0
    rail_9v_a = 2.0
    servo_rail_v = 5.0
    servo_rail_a = 5.0
    serial_port_count = 5
    accepts_inverted = True
    input_protocols = factory.LazyFunction(lambda: ["serial"])
    motor_protocols = factory.LazyFunction(lambda: ["pulse", "digital"])
    timer_groups = factory.LazyFunction(lambda: [[1, 2], [3, 4], [5, 6]])
    hole_pattern_mm = factory.LazyFunction(lambda: [30.5])


class GpsFactory(SheetFactory):
    class Meta:
        model = kinds.Gps

    mass_g = 7.5
    rate_max_hz = 10.0
    voltage_min_v = 3.6
    voltage_max_v = 5.5
    current_ma = 60.0
    has_compass = True


class GroundGearFactory(SheetFactory):
    class Meta:
        model = kinds.GroundGear

    role = "transmitter"
    link_family = "long range"
    link_version = 3
    band_mhz = 2440.0
    channel_count = 12


class HardwareFactory(SheetFactory):
    class Meta:
        model = kinds.Hardware

    mass_g = 0.4
    purpose = "screw"
    diameter_mm = 3.0
    is_magnetic = True
    material = "steel"


class LeadFactory(SheetFactory):
    class Meta:
        model = kinds.Lead

    mass_g = 12.0
    gauge_awg = 14.0
    loop_length_mm = 200.0
    plug_a = "flat 60"
    plug_a_gender = "plug"


class MotorFactory(SheetFactory):
    class Meta:
        model = kinds.Motor

    mass_g = 33.0
    stator_diameter_mm = 22.0
    stator_height_mm = 7.0
    kv_rpm_v = 1900.0
    resistance_mohm = 60.0
    no_load_current_a = 1.1
    no_load_voltage_v = 10.0
    current_max_a = 35.0
    cells_min = 3
    cells_max = 4
    hole_pattern_mm = factory.LazyFunction(lambda: [16.0, 19.0])
    shaft_diameter_mm = 5.0


class PackFactory(SheetFactory):
    class Meta:
        model = kinds.Pack

    mass_g = 155.0
    length_mm = 75.0
    width_mm = 35.0
    height_mm = 30.0
    chemistry = "lipo"
    cell_count = 4
    parallel_count = 1
    capacity_mah = 1300.0
    continuous_c_rate = 75.0
    plug = "flat 60"
    plug_gender = "socket"


class PropellerFactory(SheetFactory):
    class Meta:
        model = kinds.Propeller

    mass_g = 4.2
    diameter_mm = 127.0
    pitch_mm = 114.0
    blade_count = 2
    hand = "cw"
    mounting = "pusher"
    bore_mm = 5.0


class ReceiverFactory(SheetFactory):
    class Meta:
        model = kinds.Receiver

    mass_g = 2.5
    link_family = "long range"
    link_version = 3
    band_mhz = 2440.0
    voltage_min_v = 4.5
    voltage_max_v = 8.4
    current_ma = 100.0


class RegulatorFactory(SheetFactory):
    class Meta:
        model = kinds.Regulator

    mass_g = 6.0
    voltage_in_min_v = 6.0
    voltage_in_max_v = 30.0
    voltage_out_v = 5.0
    current_continuous_a = 3.0
    topology = "switching"


class ServoFactory(SheetFactory):
    class Meta:
        model = kinds.Servo

    mass_g = 9.0
    length_mm = 23.0
    width_mm = 12.2
    height_mm = 22.5
    torque_kgcm = 1.8
    rated_voltage_v = 4.8
    voltage_min_v = 4.8
    voltage_max_v = 6.0
    current_stall_ma = 700.0
    frame_rate_max_hz = 50.0
    travel_deg = 45.0
    arm_radii_mm = factory.LazyFunction(lambda: [8.0, 10.0, 12.0])


class SpeedControllerFactory(SheetFactory):
    class Meta:
        model = kinds.SpeedController

    mass_g = 18.0
    current_continuous_a = 40.0
    current_burst_a = 50.0
    burst_s = 10.0
    cells_min = 3
    cells_max = 4
    protocols = factory.LazyFunction(lambda: ["pulse", "digital"])
    channel_count = 1


class VideoUnitFactory(SheetFactory):
    class Meta:
        model = kinds.VideoUnit

    mass_g = 7.0
    video_system = "analogue"
    band_mhz = 5800.0
    power_steps_mw = factory.LazyFunction(lambda: [25.0, 200.0])
    power_mw = 25.0
    voltage_min_v = 7.0
    voltage_max_v = 24.0
    current_ma = 350.0
    antenna_connector = "sma"
    antenna_gender = "socket"


SHEET_FACTORIES = {
    made._meta.model.kind_name: made
    for made in (
        AirframeFactory, AntennaFactory, CameraFactory, FlightControllerFactory, GpsFactory,
        GroundGearFactory, HardwareFactory, LeadFactory, MotorFactory, PackFactory,
        PropellerFactory, ReceiverFactory, RegulatorFactory, ServoFactory,
        SpeedControllerFactory, VideoUnitFactory,
    )
}  # fmt: skip


class PartFactory(OwnedFactory):
    """A part; a mass given with it is recorded as a weighing too, as operations do."""

    class Meta:
        model = Part

    sheet = factory.SubFactory(
        MotorFactory,
        person=factory.SelfAttribute("..person"),
        club=factory.SelfAttribute("..club"),
    )

    @classmethod
    def _generate(cls, strategy, params):
        return super()._generate(strategy, _owner_from(params, "sheet"))

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        if kwargs.get("mass_g") is not None:
            kwargs.setdefault("mass_source", "weighed")
        part = super()._create(model_class, *args, **kwargs)
        if part.mass_g is not None:
            Measurement.objects.create(
                part=part,
                name="mass_g",
                value=part.mass_g,
                uncertainty=part.mass_uncertainty_g,
                source=part.mass_source,
                by=acts_for(part),
            )
        return part


class BuildFactory(OwnedFactory):
    """A build made by the operation from an airframe with the usual template.

    Give `airframe=` for a part of your own, or None for a build that has none; `by=` is who makes
    it (default: the owner, or a keeper of the club).
    """

    class Meta:
        model = Build

    name = factory.Sequence(lambda number: f"Wing {number}")

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        owner = kwargs["club"] or kwargs["person"]
        if "airframe" not in kwargs:
            kwargs["airframe"] = part_of("airframe", owner, sheet__template=True, mass_g=158.0)
        kwargs.setdefault("by", kwargs["person"] or keeper_of(owner))
        return build_operations.create_build(**kwargs)


class PositionFactory(DjangoModelFactory):
    class Meta:
        model = Position

    build = factory.SubFactory(BuildFactory)
    key = factory.Sequence(lambda number: f"place-{number}")
    name = factory.LazyAttribute(lambda position: position.key.capitalize())
    kind = "hardware"


class LogEntryFactory(DjangoModelFactory):
    class Meta:
        model = LogEntry

    pack = factory.LazyFunction(lambda: part_of("pack", UserFactory()))
    kind = LogEntry.Kind.USE
    charge_mah = factory.LazyAttribute(lambda entry: 900.0 if entry.kind == "use" else None)
    by = factory.LazyAttribute(lambda entry: acts_for(entry.pack))


class OfferFactory(DjangoModelFactory):
    """A part offered to a club, of which its owner is made a member."""

    class Meta:
        model = Offer

    part = factory.SubFactory(PartFactory)
    by = factory.LazyAttribute(lambda offer: acts_for(offer.part))
    club = factory.LazyAttribute(lambda offer: MembershipFactory(user=offer.by).club)


class LoanFactory(DjangoModelFactory):
    class Meta:
        model = Loan

    part = factory.SubFactory(PartFactory)
    borrower = factory.SubFactory(UserFactory)
    by = factory.LazyAttribute(lambda loan: acts_for(loan.part))
    condition_out = Condition.GOOD


class ClaimFactory(DjangoModelFactory):
    class Meta:
        model = Claim

    part = factory.SubFactory(PartFactory)
    claimant = factory.SubFactory(UserFactory)
    by = factory.SelfAttribute("claimant")


class WaitFactory(DjangoModelFactory):
    class Meta:
        model = Wait

    part = factory.SubFactory(PartFactory)
    person = factory.SubFactory(UserFactory)
    by = factory.SelfAttribute("person")


def part_of(kind, owner, **values):
    """A part of that kind and its sheet, both of the owner, a User or a Club.

    What begins with `sheet__` goes to the sheet, all else to the part.
    """
    owned = {"club": owner} if isinstance(owner, Club) else {"person": owner}
    sheet_values = {
        name.removeprefix("sheet__"): value
        for name, value in values.items()
        if name.startswith("sheet__")
    }
    part_values = {name: value for name, value in values.items() if not name.startswith("sheet__")}
    sheet = SHEET_FACTORIES[kind](**owned, **sheet_values)
    return PartFactory(sheet=sheet, **owned, **part_values)


def member_of(club, role=Role.MEMBER):
    """A new person of that role in the club."""
    return MembershipFactory(club=club, role=role).user


def keeper_of(club):
    """A keeper of the club, a new one if it has none."""
    found = club.memberships.filter(left_at__isnull=True, role=Role.KEEPER).first()
    return found.user if found else member_of(club, Role.KEEPER)


def acts_for(part):
    """Who may change the part: its owner, or a keeper of its club."""
    return part.person or keeper_of(part.club)


def _owner_from(params, name):
    thing = params.get(name)
    if thing is None or {"person", "club"} & set(params):
        return params
    return {**params, "person": thing.person, "club": thing.club}
