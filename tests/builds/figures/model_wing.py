"""An invented model wing as plain records, and weigh-ins of it.

Its masses, places and boxes are those of tests/builds/engineering/test_mass.py, whose expected
values are independent numerical solutions.
"""

from dataclasses import replace

from builds.figures import figures_of
from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value, WeighInRecord

RECTANGULAR = 3**0.5
# Key, kind, mass [g], place [mm], own box [mm], limit of the mass in g.
PARTS = (
    ("airframe", "airframe", 310, (245, 0, 0), (250, 900, 25), 31),
    ("pack", "pack", 210, (90, 0, 12), (75, 35, 35), 1),
    ("motor", "motor", 33, (405, 0, 5), (30, 28, 28), 1),
    ("propeller", "propeller", 7, (425, 0, 5), (8, 152, 8), 1),
    ("controller", "speed_controller", 22, (330, 0, -8), (45, 20, 8), 1),
    ("board", "flight_controller", 12, (200, 0, 10), (36, 36, 10), 1),
    ("video", "video_unit", 9, (300, 40, 12), (30, 30, 8), 1),
    ("camera", "camera", 8, (15, 0, 8), (20, 19, 19), 1),
    ("receiver", "receiver", 2, (270, -60, 10), (18, 11, 4), 1),
    ("left", "servo", 9, (290, -220, 0), (23, 12, 24), 1),
    ("right", "servo", 9, (290, 220, 0), (23, 12, 24), 1),
    ("wiring", "lead", 25, (230, 0, 0), None, 2.5),
)
SIDES = ("length_mm", "width_mm", "height_mm")


def place(number, key, kind, mass_g, at, box=None, limit_g=1.0, **more):
    """A position with a part in it, whose mass stands alone: no scale shared with another."""
    values = {} if mass_g is None else {"mass_g": Value(mass_g, "sheet", limit_g / RECTANGULAR)}
    values |= {name: Value(side) for name, side in zip(SIDES, box or (), strict=False)}
    values |= {name: Value(value) for name, value in more.pop("values", {}).items()}
    part = PartRecord(number, f"C{number}", kind, key, values=values)
    x, y, z = at
    return PositionRecord(number, key, key, kind, x_mm=x, y_mm=y, z_mm=z, part=part, **more)


def wing(*weigh_ins, **changes):
    """The wing; `weigh_ins` were made of it."""
    positions = tuple(place(number, *row) for number, row in enumerate(PARTS, start=1))
    return BuildSnapshot(1, "Wing", positions, weigh_ins=weigh_ins, revision=7, **changes)


def weigh_in(mass_g, *, left_off=(), of=None, **values):
    """The wing on a scale that shows ± 1 g, in its present revision."""
    positions = (of or wing()).positions
    return WeighInRecord(
        id=1,
        mass_g=mass_g,
        revision=7,
        uncertainty_g=1 / RECTANGULAR,
        left_off=tuple(left_off),
        on_scale=tuple(p for p in positions if p.part and p.key not in left_off),
        **values,
    )


def changed(build, key, **changes):
    """The build with one position changed."""
    positions = (replace(p, **changes) if p.key == key else p for p in build.positions)
    return replace(build, positions=tuple(positions))


def with_mass(build, key, mass_g):
    """The build with another mass of one part, or with none."""
    position = build.at(key)
    values = {name: value for name, value in position.part.values.items() if name != "mass_g"}
    if mass_g is not None:
        values["mass_g"] = Value(mass_g, "sheet", 1 / RECTANGULAR)
    return changed(build, key, part=replace(position.part, values=values))


def figure(build, name):
    """One figure of a build."""
    return figures_of(build)[name]
