"""Random changes of a build as recorded: what people do to an aircraft."""

from dataclasses import replace

from hypothesis import strategies as st

from builds.findings import book
from builds.records import AirRecord, RadioLimit, Value

LENGTHS = st.floats(-50, 400).map(lambda length: round(length, 1))
SETTINGS = {
    "motor_signal": st.sampled_from(["", "digital", "pulse"]),
    "servo_rate_hz": st.sampled_from([None, 50.0, 333.0]),
    "cg_min_x_mm": st.none() | LENGTHS,
    "cg_max_x_mm": st.none() | LENGTHS,
    "cg_target_x_mm": st.none() | LENGTHS,
    "takeoff_mass_max_g": st.sampled_from([None, 250.0, 900.0]),
    "club_mass_line_g": st.sampled_from([None, 250.0, 500.0]),
    "speed_max_m_s": st.sampled_from([None, 25.0, 45.0]),
    "cruise_speed_m_s": st.sampled_from([None, 12.0, 25.0]),
    "packs_wiring": st.sampled_from(["", "series", "parallel"]),
    "full_throttle_share_percent": st.sampled_from([None, 20.0]),
    "reserve_percent": st.sampled_from([None, 30.0]),
    "radio_limits": st.sampled_from([(), (RadioLimit(5725.0, 5875.0, True, 25.0),)]),
    "air": st.sampled_from([AirRecord(), AirRecord(1500.0, 30.0, "asked")]),
}
SHAPES = {
    "supply": st.sampled_from(["", "pack", "servo_rail", "board_5v", "none"]),
    "output": st.none() | st.integers(1, 12),
    "quantity": st.integers(1, 3),
    "is_required": st.booleans(),
}
GEOMETRY = ("x_mm", "y_mm", "z_mm", "length_mm", "width_mm", "height_mm", "plate_mm")


def changes(build):
    """Strategy of the build with one thing different."""
    fitted = [place for place in build.positions if place.part]
    kinds = [
        st.sampled_from(fitted).flatmap(lambda place: swapped(build, place)),
        st.sampled_from(fitted).flatmap(lambda place: revalued(build, place)),
        st.sampled_from(fitted).map(lambda place: build.with_part(place.id, None)),
        st.sampled_from(build.positions).flatmap(lambda place: moved(build, place)),
        st.sampled_from(build.positions).flatmap(lambda place: reshaped(build, place)),
        set_up(build),
        limited(build),
    ]
    if build.ground:
        kinds.append(st.sampled_from(sorted(build.ground)).flatmap(lambda r: geared(build, r)))
    if build.surfaces:
        kinds.append(relinked(build))
    return st.one_of(kinds)


def swapped(build, place):
    """Another part of the kind in one place, alike or with other values."""
    other = replace(place.part, id=place.part.id + 5000, code="SWAP", name="Another")
    states = st.sampled_from(["good", "suspect", "broken"])
    return st.tuples(states, varied(other)).map(
        lambda drawn: build.with_part(
            place.id, replace(drawn[1], condition=drawn[0]), place.quantity
        )
    )


def revalued(build, place):
    """One figure of one part measured anew, guessed or forgotten."""
    return varied(place.part).map(lambda part: build.with_part(place.id, part, place.quantity))


def varied(part):
    if not part.values:
        return st.just(part)
    return st.sampled_from(sorted(part.values)).flatmap(lambda name: _with_other(part, name))


def _with_other(part, name):
    value = part.values[name].value
    options = [None, Value(value, "guessed"), Value(value, "measured")]
    if isinstance(value, float | int) and not isinstance(value, bool):
        number = int if isinstance(value, int) else float
        options += [Value(number(value * factor), "measured") for factor in (0.5, 0.9, 1.2, 3)]
    return st.sampled_from(options).map(
        lambda other: replace(
            part, values={**part.values, name: other} if other else _without(part.values, name)
        )
    )


def _without(values, name):
    return {key: value for key, value in values.items() if key != name}


def moved(build, place):
    return st.tuples(st.sampled_from(GEOMETRY), st.none() | LENGTHS.filter(bool)).map(
        lambda drawn: _placed(build, place, **{drawn[0]: drawn[1] and abs(drawn[1])})
    )


def reshaped(build, place):
    return st.sampled_from(sorted(SHAPES)).flatmap(
        lambda name: SHAPES[name].map(lambda value: _placed(build, place, **{name: value}))
    )


def _placed(build, place, **columns):
    return replace(
        build,
        positions=tuple(
            replace(one, **columns) if one is place else one for one in build.positions
        ),
    )


def set_up(build):
    return st.sampled_from(sorted(SETTINGS)).flatmap(
        lambda name: SETTINGS[name].map(lambda value: replace(build, **{name: value}))
    )


def geared(build, role):
    return varied(replace(build.ground[role], name="Other gear")).map(
        lambda part: replace(build, ground={**build.ground, role: part})
    )


def relinked(build):
    return st.tuples(st.sampled_from(build.surfaces), st.sampled_from([None, 6.0, 12.0, 20.0])).map(
        lambda drawn: replace(
            build,
            surfaces=tuple(
                replace(one, arm_radius_mm=drawn[1]) if one is drawn[0] else one
                for one in build.surfaces
            ),
        )
    )


def limited(build):
    """A limit set by the club within its bounds; unchanged while no rule has one."""
    limits = [(rule.id, limit) for rule in book for limit in rule.limits]
    if not limits:
        return st.just(build)
    return st.tuples(st.sampled_from(limits), st.floats(0, 1)).map(
        lambda drawn: replace(build, rule_limits={**build.rule_limits, **_set(*drawn)})
    )


def _set(limit, share):
    rule_id, of = limit
    value = of.minimum + share * (of.maximum - of.minimum)
    return {f"{rule_id}.{of.name}": Value(value, "club")}
