import itertools
import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hangar.quantities import (
    LARGEST,
    QuantityError,
    format_quantity,
    preferred_unit,
    read_cell_count,
    read_number,
    read_quantity,
    show_quantity,
)
from hangar.units import _DIMENSIONS, ACCEPTED, GLYPHS, SUGGESTED, UNITS, unit_label, unit_of

NBSP = "\u00a0"

# NIST Special Publication 811 (2008 edition), appendix B.8 "Factors for units listed
# alphabetically", seven digits as printed there; a power of ten brings the SI unit of that table
# to the unit of the column. Bold (exact) entries of that table are marked exact. Typed from memory,
# not verified against the printed page.
NIST_FACTORS = [
    ("1 oz", "kg", 2.834952e-02),  # ounce (avoirdupois) to kilogram
    ("1 lb", "kg", 4.535924e-01),  # pound (avoirdupois) to kilogram
    ("1 in", "m", 2.54e-02),  # inch to meter, exact
    ("1 ft", "m", 3.048e-01),  # foot to meter, exact
    ("1 mi", "m", 1.609344e03),  # mile to meter, exact
    ("1 in2", "m2", 6.4516e-04),  # square inch to square meter, exact
    ("1 ft2", "m2", 9.290304e-02),  # square foot to square meter, exact
    ("1 oz·in", "nm", 7.061552e-03),  # ounce (force)-inch to newton meter
    ("100 kg·cm", "nm", 9.80665e00),  # kilogram-force meter to newton meter, exact
    ("1 kgf", "n", 9.80665e00),  # kilogram-force to newton, exact
    ("1 ozf", "n", 2.780139e-01),  # ounce (avoirdupois)-force to newton
    ("1 lbf", "n", 4.448222e00),  # pound-force to newton
    ("1 oz/ft2", "g_m2", 3.051517e-01 * 1e3),  # ounce per square foot to kilogram per square meter
    ("1 lb/ft2", "g_m2", 4.882428e00 * 1e3),  # pound per square foot to kilogram per square meter
    ("1 kn", "m_s", 5.144444e-01),  # knot to meter per second
    ("1 mph", "m_s", 4.4704e-01),  # mile per hour to meter per second, exact
    ("1 km/h", "m_s", 2.777778e-01),  # kilometer per hour to meter per second
    ("1 ft/s", "m_s", 3.048e-01),  # foot per second to meter per second, exact
    ("1 inHg", "pa", 3.386389e03),  # inch of mercury, conventional, to pascal
    ("1 mbar", "pa", 1.0e02),  # millibar to pascal, exact
    ("1 min", "s", 6.0e01),  # minute to second, exact
    ("1 h", "s", 3.6e03),  # hour to second, exact
    ("1 d", "s", 8.64e04),  # day to second, exact
    ("1.745329e-02 rad", "deg", 1.0),  # degree (angle) to radian
    ("3.6e3 J", "wh", 1.0),  # watt hour to joule, exact
]


@pytest.mark.parametrize(("text", "unit", "expected"), NIST_FACTORS)
def test_converts_by_the_published_factor(text, unit, expected):
    # Seven printed digits: half a unit in the last place is at most 5e-7 of the value.
    assert read_quantity(text, unit) == pytest.approx(expected, rel=5e-7)


# NIST SP 811 (2008), section B.8: t/°C = (t/°F - 32)/1.8 and t/°C = T/K - 273.15.
@pytest.mark.parametrize(
    ("text", "celsius"),
    [("32 °F", 0.0), ("212 °F", 100.0), ("-40 F", -40.0), ("273.15 K", 0.0), ("20 °C", 20.0)],
)
def test_converts_temperature_with_its_offset(text, celsius):
    assert read_quantity(text, "c") == pytest.approx(celsius, abs=1e-12)


def test_a_temperature_difference_has_no_offset():
    assert read_quantity("10 °C", "k") == 10.0


# The SI prefixes (SI Brochure, 9th edition, table 7) shift the decimal point and nothing else.
@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("2.2 Ah", "mah", 2200.0),
        ("5.8 GHz", "mhz", 5800.0),
        ("0.025 W", "mw", 25.0),
        ("1.52 ms", "us", 1520.0),
        ("0.0032 Ω", "mohm", 3.2),
        ("1 mF", "uf", 1000.0),
        ("12.7 cm", "mm", 127.0),
        ("5 kg/m2", "g_dm2", 50.0),
        ("110 ms", "s_60deg", 0.11),
        ("21 Ω/km", "mohm_m", 21.0),
    ],
)
def test_a_prefix_moves_the_decimal_point_exactly(text, unit, expected):
    assert read_quantity(text, unit) == expected


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("250", "g", 250.0),
        (" 250 g ", "g", 250.0),
        ("250g", "g", 250.0),
        ("1,5 g", "g", 1.5),
        (",5 g", "g", 0.5),
        (".5", "g", 0.5),
        ("0,125", "g", 0.125),
        ("1234,567", "g", 1234.567),
        ("1.234", "g", 1.234),
        ("1e3", "g", 1000.0),
        ("-12.5", "mm", -12.5),
        ("−12.5 mm", "mm", -12.5),
        (f"250{NBSP}g", "g", 250.0),
        ('12"', "mm", 304.8),
        ("12″", "mm", 304.8),
        ("2300KV", "rpm_v", 2300.0),
        ("2300 rpm/V", "rpm_v", 2300.0),
        ("0.12 s/60°", "s_60deg", 0.12),
        ("18 AWG", "awg", 18.0),
        ("20 dBm", "dbm", 20.0),
        ("45 %", "percent", 45.0),
        ("1 μF", "uf", 1.0),
        ("35 g/dm²", "g_dm2", 35.0),
        ("2200 mah", "mah", 2200.0),
        ("2 kg cm", "kgcm", 2.0),
    ],
)
def test_reads_a_number_with_or_without_its_unit(text, unit, expected):
    assert read_quantity(text, unit) == expected


@pytest.mark.parametrize("number", [0, 12, 12.5, -3.25, LARGEST])
def test_a_bare_number_is_in_the_unit_of_the_column(number):
    assert read_quantity(number, "g") == number


# NIST SP 811 (2008), appendix B.8: lb 0.45359237 kg and in 0.0254 m, exact; 16 oz are 1 lb and
# 12 in are 1 ft (NIST Handbook 44, appendix C).
@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("1 lb 3 oz", "g", 453.59237 * 19 / 16),
        ("1lb3oz", "g", 453.59237 * 19 / 16),
        ("1 lb 3.5 oz", "g", 453.59237 * 19.5 / 16),
        ("1 lb 3,5 oz", "g", 453.59237 * 19.5 / 16),
        ("5 ft 3 in", "mm", 63 * 25.4),
        ("5' 3\"", "mm", 63 * 25.4),
        ("-5 ft 3 in", "mm", -63 * 25.4),
        ("1 h 2 min 3 s", "s", 3723.0),
    ],
)
def test_reads_a_larger_and_a_smaller_unit_together(text, unit, expected):
    assert read_quantity(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "part_of_message"),
    [
        ("", "g", "Enter a number"),
        ("   ", "g", "Enter a number"),
        ("g", "g", "Enter a number"),
        ("NaN", "g", "Enter a number"),
        ("inf", "g", "Enter a number"),
        ("-Infinity g", "g", "Enter a number"),
        ("(((((1))))) g", "g", "Enter a number"),
        ("[1] g", "g", "Enter a number"),
        ("__import__('os')", "g", "Enter a number"),
        ("--5 g", "g", "Enter a number"),
        ("1e999 g", "g", "too large"),
        ("1e999", "g", "too large"),
        ("9e12", "g", "too large"),
        ("9e11 kg", "g", "too large"),
        ("1e-999", "g", "too small"),
        ("1e5000 g", "g", "is not a unit"),
        ("1" * 65, "g", "too long"),
        ("9" * 10_000, "g", "too long"),
        ("(" * 10_000, "g", "too long"),
        ("1,234", "g", "write 1234 or 1.234"),
        ("-1,234 g", "g", "write -1234 or -1.234"),
        ("1 lb 1,234 oz", "g", "write 1234 or 1.234"),
        ("1,234,567", "g", "thousands"),
        ("1.234,5", "g", "thousands"),
        ("1.2.3", "g", "thousands"),
        ("1 234", "g", "cannot be read"),
        ("33 1/3 in", "mm", "Fractions"),
        ("1/3 in", "mm", "Fractions"),
        ("½ in", "mm", "digits 0 to 9"),
        ("٣ g", "g", "digits 0 to 9"),
        ("１２ g", "g", "digits 0 to 9"),
        ("0x10", "g", "is not a unit"),
        ("1_0", "g", "cannot be read"),
        ("10**10**10 m", "m", "cannot be read"),
        ("9**9**9", "m", "cannot be read"),
        ("5 kg + 3 m", "g", "cannot be read"),
        ("5 g; 3", "g", "cannot be read"),
        ("5 g # x", "g", "cannot be read"),
        ("5\x00", "g", "cannot be read"),
        ("5 g\n3", "g", "cannot be read"),
        ("5 g 3", "g", "is not a unit"),
        ("5 G", "g", "is not a unit"),
        ("5 furlong", "mm", "is not a unit"),
        ("2 oz", "mm", "a unit of mass; a length is expected"),
        ("20C", "a", "C is a multiple of a pack's capacity: a current is expected"),
        ("20 c", "mah", "C is a multiple of a pack's capacity"),
        ("3S", "v", "S counts cells: a voltage is expected"),
        ("3S", "ohm", "is not a unit"),
        ("1 lb 3 in", "g", "is not a unit"),
        ("3 oz 1 lb", "g", "larger unit first"),
        ("1 lb 1 lb", "g", "larger unit first"),
        ("1.5 lb 3 oz", "g", "larger unit first"),
        ("20 °C 3 °F", "c", "is not a unit"),
        ("1.5 g", "ratio", "without a unit"),
    ],
)
def test_refuses_with_a_reason(text, unit, part_of_message):
    with pytest.raises(QuantityError, match=re.escape(part_of_message)):
        read_quantity(text, unit)


@pytest.mark.parametrize(
    "value",
    [True, False, None, [1], {"a": 1}, b"1", 1j, math.nan, math.inf, -math.inf, 10**400, 1e13],
)
def test_refuses_what_is_no_finite_bounded_number(value):
    with pytest.raises(QuantityError):
        read_quantity(value, "g")


def test_lists_the_units_it_reads_when_it_does_not_know_one():
    with pytest.raises(QuantityError) as caught:
        read_quantity("5 stone", "g")
    assert str(caught.value) == (
        "stone is not a unit that is read here: write one of mg, g, kg, oz, lb, lbs."
    )


@pytest.mark.parametrize("text", ["20C", "20 c", "20"])
def test_reads_a_current_rating_in_multiples_of_the_capacity(text):
    assert read_quantity(text, "c_rate") == 20.0


def test_a_bare_number_reader_refuses_a_unit():
    with pytest.raises(QuantityError, match="without a unit"):
        read_number("5 g")


@pytest.mark.parametrize("value", ["3S", "3s", "3 S", " 3 ", 3])
def test_reads_a_count_of_cells(value):
    assert read_cell_count(value) == 3


@pytest.mark.parametrize(
    "value", ["0S", "25S", "3.5", "3S2P", "S", "", "-3", True, 3.0, None, "٣S"]
)
def test_refuses_what_is_no_count_of_cells(value):
    with pytest.raises(QuantityError, match="whole number from 1 to 24"):
        read_cell_count(value)


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("mass_g", "g"),
        ("internal_resistance_mohm", "mohm"),
        ("kv_rpm_v", "rpm_v"),
        ("speed_s_60deg", "s_60deg"),
        ("discharge_c_rate", "c_rate"),
        ("wing_loading_g_dm2", "g_dm2"),
        ("stall_speed_m_s", "m_s"),
        ("lead_mohm_m", "mohm_m"),
        ("temperature_c", "c"),
        ("voltage_min_v", "v"),
        ("thrust_coefficient", "coefficient"),
        ("standing_wave_ratio", "ratio"),
        ("cells_min", None),
        ("endurance_min", None),
        ("plug_in", None),
        ("name", None),
        ("g", None),
    ],
)
def test_takes_the_unit_from_the_end_of_a_column_name(name, unit):
    assert unit_of(name) == unit


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0, "g", f"0{NBSP}g"),
        (1234.56, "g", f"1235{NBSP}g"),
        (123456.7, "mah", f"123457{NBSP}mAh"),
        (12.3456, "mm", f"12.35{NBSP}mm"),
        (25.0, "g", f"25{NBSP}g"),
        (0.00123456, "ohm", f"0.001235{NBSP}Ω"),
        (-12.345, "mm", f"-12.35{NBSP}mm"),
        (12.5, "deg", "12.5°"),
        (45, "percent", f"45{NBSP}%"),
        (9.9999, "v", f"10{NBSP}V"),
        (1.25, "ratio", "1.25"),
    ],
)
def test_shows_four_significant_digits_and_the_whole_number(value, unit, text):
    assert format_quantity(value, unit) == text


def test_shows_ounces_and_inches_to_who_chose_them():
    assert format_quantity(28.349523125, "g", "oz", "mm") == f"1{NBSP}oz"
    assert format_quantity(1600.2, "mm", "g", "in") == f"63{NBSP}in"
    assert show_quantity(453.59237, "g", "lb") == ("1", "lb")


@pytest.mark.parametrize(
    ("unit", "mass_unit", "length_unit", "preferred"),
    [
        ("g", "g", "in", "g"),
        ("g", "oz", "mm", "oz"),
        ("kg", "oz", "mm", "lb"),
        ("mm", "oz", "mm", "mm"),
        ("dm2", "g", "in", "in2"),
        ("g_dm2", "oz", "mm", "g_dm2"),
        ("g_dm2", "oz", "in", "oz_ft2"),
        ("kgcm", "oz", "in", "ozin"),
        ("mm2", "oz", "in", "mm2"),
        ("v", "oz", "in", "v"),
    ],
)
def test_prefers_the_unit_that_goes_with_the_choice(unit, mass_unit, length_unit, preferred):
    assert preferred_unit(unit, mass_unit, length_unit) == preferred


def test_refuses_to_show_what_is_no_number():
    with pytest.raises(QuantityError):
        show_quantity(math.nan, "g", "g")


# The table itself, against the library of units.


def _pint_units():
    return sorted(
        {
            (dimension, name)
            for dimension, spellings in ACCEPTED.items()
            for name in spellings.values()
            if name
        }
    )


@pytest.mark.parametrize(("dimension", "name"), _pint_units())
def test_every_unit_of_a_dimension_has_the_dimensions_of_the_others(dimension, name):
    registry = pint.UnitRegistry()
    others = {n for d, n in _pint_units() if d == dimension}
    found = {registry.Unit(other).dimensionality for other in others}
    assert found == {registry.Unit(name).dimensionality}


# The dimensions whose spellings are those of standards, and the few that pint spells otherwise.
PLAINLY_SPELLED = ["mass", "length", "time", "charge", "energy", "voltage", "current", "power"]
PLAINLY_SPELLED += ["resistance", "capacitance", "frequency", "pressure", "force", "speed"]
PINT_SPELLING = {
    "lbs": "lb", "sec": "s", "gf": "force_gram", "kgf": "force_kilogram", "ozf": "force_ounce",
    "Ah": "A*hour", "mAh": "mA*hour", "Wh": "W*hour", "mWh": "mW*hour", "kn": "knot",
    "'": "foot", '"': "inch",
}  # fmt: skip


@pytest.mark.parametrize(
    ("spelling", "name"),
    [pair for dimension in PLAINLY_SPELLED for pair in _DIMENSIONS[dimension].spellings.items()],
)
def test_a_spelling_means_what_the_library_of_units_says_it_means(spelling, name):
    one = pint.UnitRegistry().Quantity(1.0, PINT_SPELLING.get(spelling, spelling))
    assert one.to(name).magnitude == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_reads_every_unit_by_its_label_and_its_key(unit):
    label = unit_label(unit)
    assert read_quantity(f"12.5 {label}", unit) == 12.5
    assert read_quantity(f"12.5 {unit}", unit) == 12.5


@pytest.mark.parametrize("dimension", sorted(_DIMENSIONS))
def test_no_two_spellings_become_one_in_lower_case(dimension):
    spellings = ACCEPTED[dimension]
    clashes = [
        (one, other)
        for one, other in itertools.combinations(spellings, 2)
        if one.lower() == other.lower() and spellings[one] != spellings[other]
    ]
    assert clashes == []


@pytest.mark.parametrize("dimension", sorted(_DIMENSIONS))
def test_every_suggested_unit_is_read(dimension):
    suggested = [s for s in SUGGESTED[dimension].split(", ") if s]
    assert [s for s in suggested if s.translate(GLYPHS) not in ACCEPTED[dimension]] == []


CONVERTIBLE = sorted(
    (one.key, other.key)
    for one, other in itertools.permutations(UNITS.values(), 2)
    if one.dimension is other.dimension and one.pint_name and other.pint_name
)
plain_numbers = st.floats(min_value=-100, max_value=100, allow_nan=False).filter(
    lambda x: x == 0 or abs(x) > 1e-6
)


@given(plain_numbers, st.sampled_from(CONVERTIBLE))
def test_there_and_back_is_the_same_number(value, pair):
    one, other = pair
    there = read_quantity(f"{value!r} {one}", other)
    assert read_quantity(f"{there!r} {other}", one) == pytest.approx(value, rel=1e-12, abs=0)


@given(
    st.floats(min_value=-1e6, max_value=1e6, allow_nan=False),
    st.sampled_from([unit for unit in sorted(UNITS) if unit != "c"]),
    st.sampled_from(["g", "oz"]),
    st.sampled_from(["mm", "in"]),
)
def test_what_is_shown_reads_back_within_the_rounding(value, unit, mass_unit, length_unit):
    shown = format_quantity(value, unit, mass_unit, length_unit)
    if len(shown) > 64:
        assert abs(value) < 1e-30
        return
    # Four significant digits: half a unit of the fourth is at most 5e-4 of the value.
    assert read_quantity(shown, unit) == pytest.approx(value, rel=5.001e-4, abs=1e-300)


def _read_or_refused(text, unit):
    try:
        return read_quantity(text, unit)
    except QuantityError as error:
        return str(error)


@given(st.text(max_size=70), st.sampled_from(sorted(UNITS)))
def test_any_text_is_read_or_refused_and_never_crashes(text, unit):
    answer = _read_or_refused(text, unit)
    assert answer if isinstance(answer, str) else abs(answer) <= LARGEST


@given(st.text(alphabet="0123456789.,eE+-/*_ gomzlbfti'\"()CS", max_size=40))
def test_any_text_of_digits_and_signs_is_read_or_refused(text):
    answer = _read_or_refused(text, "g")
    assert answer if isinstance(answer, str) else abs(answer) <= LARGEST
