"""The closed table of units: what a column may be stored in and what a person may type.

To add a unit to a dimension, add its spelling with the pint name of the unit. To let a column
be stored in it, add a line to ``_COLUMN_UNITS``. Nothing else has to change.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Dimension:
    """A physical dimension: its name for people and the spellings read for its units."""

    name: str
    spellings: Mapping[str, str]
    compound: bool = False


@dataclass(frozen=True)
class Unit:
    """A unit that values are stored or shown in, keyed by its column suffix."""

    key: str
    label: str
    pint_name: str
    dimension: Dimension
    is_suffix: bool = True


_MASS = {"mg": "milligram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}
_MASS |= {"lbs": "pound"}
_LENGTH = {"mm": "millimeter", "cm": "centimeter", "m": "meter", "km": "kilometer"}
_LENGTH |= {"in": "inch", '"': "inch", "inch": "inch", "ft": "foot", "'": "foot", "mi": "mile"}
_AREA = {f"{prefix}m2": f"{name}meter**2" for prefix, name in
         (("m", "milli"), ("c", "centi"), ("d", "deci"), ("", ""))}  # fmt: skip
_AREA |= {"in2": "inch**2", "sq in": "inch**2", "ft2": "foot**2", "sq ft": "foot**2"}
_TIME = {"us": "microsecond", "µs": "microsecond", "ms": "millisecond", "s": "second"}
_TIME |= {"sec": "second", "min": "minute", "h": "hour", "d": "day", "days": "day"}
_CHARGE = {"mAh": "milliampere_hour", "Ah": "ampere_hour"}
_ENERGY = {"Wh": "watt_hour", "mWh": "milliwatt_hour", "J": "joule", "kJ": "kilojoule"}
_VOLTAGE = {"mV": "millivolt", "V": "volt"}
_CURRENT = {"µA": "microampere", "uA": "microampere", "mA": "milliampere", "A": "ampere"}
_POWER = {"mW": "milliwatt", "W": "watt", "kW": "kilowatt"}
_RESISTANCE = {"mΩ": "milliohm", "Ω": "ohm", "ohm": "ohm", "kΩ": "kiloohm", "kohm": "kiloohm"}
_LINE_RESISTANCE = {"mΩ/m": "milliohm/meter", "Ω/m": "ohm/meter", "Ω/km": "ohm/kilometer"}
_LINE_RESISTANCE |= {"ohm/m": "ohm/meter", "ohm/km": "ohm/kilometer", "mohm/m": "milliohm/meter"}
_CAPACITANCE = {"pF": "picofarad", "nF": "nanofarad", "µF": "microfarad", "mF": "millifarad"}
_ROTATION = {"rpm": "revolution/minute", "1/min": "revolution/minute", "/min": "revolution/minute"}
_SPEED_CONSTANT = {"rpm/V": "revolution/minute/volt", "KV": "revolution/minute/volt"}
_SPEED_CONSTANT |= {"Kv": "revolution/minute/volt"}
_FREQUENCY = {"Hz": "hertz", "kHz": "kilohertz", "MHz": "megahertz", "GHz": "gigahertz"}
_BIT_RATE = {"bit/s": "bit/second", "kbit/s": "kilobit/second", "Mbit/s": "megabit/second"}
_ANGLE = {"°": "degree", "rad": "radian"}
_TEMPERATURE = {"°C": "degree_Celsius", "C": "degree_Celsius", "degC": "degree_Celsius"}
_TEMPERATURE |= {"°F": "degree_Fahrenheit", "F": "degree_Fahrenheit", "K": "kelvin"}
_TORQUE = {"N·m": "newton*meter", "Nm": "newton*meter", "N m": "newton*meter"}
_TORQUE |= {"N·cm": "newton*centimeter", "Ncm": "newton*centimeter"}
_TORQUE |= dict.fromkeys(
    ("kg·cm", "kg cm", "kg-cm", "kgf·cm", "kgfcm"), "force_kilogram*centimeter"
)
_TORQUE |= dict.fromkeys(("oz·in", "ozin", "oz in", "oz-in"), "force_ounce*inch")
_FORCE = {"N": "newton", "gf": "force_gram", "kgf": "force_kilogram", "ozf": "force_ounce"}
_FORCE |= {"lbf": "force_pound"}
_SPEED = {"m/s": "meter/second", "km/h": "kilometer/hour", "kn": "knot"}
_SPEED |= {"mph": "mile_per_hour", "ft/s": "foot/second"}
_ANGULAR_SPEED = {"°/s": "degree/second", "deg/s": "degree/second", "rad/s": "radian/second"}
_SERVO_SPEED = {"s/60°": "second", "s/60deg": "second", "s": "second", "ms": "millisecond"}
_PRESSURE = {"Pa": "pascal", "hPa": "hectopascal", "mbar": "millibar", "kPa": "kilopascal"}
_PRESSURE |= {"inHg": "inch_Hg"}
_WING_LOADING = {"g/dm2": "gram/decimeter**2", "g/m2": "gram/meter**2"}
_WING_LOADING |= {"kg/m2": "kilogram/meter**2", "oz/ft2": "ounce/foot**2"}
_WING_LOADING |= {"oz/sq ft": "ounce/foot**2", "lb/ft2": "pound/foot**2"}
_DENSITY = {"kg/m3": "kilogram/meter**3", "g/cm3": "gram/centimeter**3"}
_DENSITY |= {"oz/ft3": "ounce/foot**3"}
_LINE_MASS = {"g/m": "gram/meter", "kg/m": "kilogram/meter", "oz/ft": "ounce/foot"}
_SENSOR_SCALE = {"mV/A": "millivolt/ampere", "V/A": "volt/ampere"}
_RANGE_CHARGE = {"mAh/km": "milliampere_hour/kilometer", "mAh/mi": "milliampere_hour/mile"}
_RANGE_ENERGY = {"Wh/km": "watt_hour/kilometer", "Wh/mi": "watt_hour/mile"}

_DIMENSIONS = {
    dimension.name: dimension
    for dimension in (
        Dimension("mass", _MASS, compound=True),
        Dimension("length", _LENGTH, compound=True),
        Dimension("area", _AREA),
        Dimension("time", _TIME, compound=True),
        Dimension("charge", _CHARGE),
        Dimension("energy", _ENERGY),
        Dimension("voltage", _VOLTAGE),
        Dimension("current", _CURRENT),
        Dimension("power", _POWER),
        Dimension("resistance", _RESISTANCE),
        Dimension("resistance per length", _LINE_RESISTANCE),
        Dimension("capacitance", _CAPACITANCE),
        Dimension("speed of rotation", _ROTATION),
        Dimension("speed per volt", _SPEED_CONSTANT),
        Dimension("frequency", _FREQUENCY),
        Dimension("bit rate", _BIT_RATE),
        Dimension("angle", _ANGLE),
        Dimension("temperature", _TEMPERATURE),
        Dimension("torque", _TORQUE),
        Dimension("force", _FORCE),
        Dimension("speed", _SPEED),
        Dimension("angular speed", _ANGULAR_SPEED),
        Dimension("servo speed", _SERVO_SPEED),
        Dimension("pressure", _PRESSURE),
        Dimension("mass per area", _WING_LOADING),
        Dimension("density", _DENSITY),
        Dimension("mass per length", _LINE_MASS),
        Dimension("sensor scale", _SENSOR_SCALE),
        Dimension("charge per distance", _RANGE_CHARGE),
        Dimension("energy per distance", _RANGE_ENERGY),
        Dimension("temperature difference", {"°C": "", "C": ""}),
        Dimension("percentage", {}),
        Dimension("level in dBm", {}),
        Dimension("antenna gain", {}),
        Dimension("level difference", {}),
        Dimension("wire gauge", {}),
        Dimension("current rating", {}),
        Dimension("pulse width per angle", {}),
        Dimension("thrust per power", {}),
        Dimension("power per mass", {}),
        Dimension("moment of inertia", {}),
        Dimension("ratio", {}),
    )
}

# Key, label, pint name, dimension. An empty pint name means that nothing converts to this unit.
_COLUMN_UNITS = (
    ("mg", "mg", "milligram", "mass"),
    ("g", "g", "gram", "mass"),
    ("kg", "kg", "kilogram", "mass"),
    ("mm", "mm", "millimeter", "length"),
    ("cm", "cm", "centimeter", "length"),
    ("m", "m", "meter", "length"),
    ("km", "km", "kilometer", "length"),
    ("mm2", "mm²", "millimeter**2", "area"),
    ("cm2", "cm²", "centimeter**2", "area"),
    ("dm2", "dm²", "decimeter**2", "area"),
    ("m2", "m²", "meter**2", "area"),
    ("us", "µs", "microsecond", "time"),
    ("ms", "ms", "millisecond", "time"),
    ("s", "s", "second", "time"),
    ("h", "h", "hour", "time"),
    ("mah", "mAh", "milliampere_hour", "charge"),
    ("ah", "Ah", "ampere_hour", "charge"),
    ("wh", "Wh", "watt_hour", "energy"),
    ("mv", "mV", "millivolt", "voltage"),
    ("v", "V", "volt", "voltage"),
    ("ma", "mA", "milliampere", "current"),
    ("a", "A", "ampere", "current"),
    ("mw", "mW", "milliwatt", "power"),
    ("w", "W", "watt", "power"),
    ("mohm", "mΩ", "milliohm", "resistance"),
    ("ohm", "Ω", "ohm", "resistance"),
    ("mohm_m", "mΩ/m", "milliohm/meter", "resistance per length"),
    ("uf", "µF", "microfarad", "capacitance"),
    ("rpm", "rpm", "revolution/minute", "speed of rotation"),
    ("rpm_v", "rpm/V", "revolution/minute/volt", "speed per volt"),
    ("hz", "Hz", "hertz", "frequency"),
    ("khz", "kHz", "kilohertz", "frequency"),
    ("mhz", "MHz", "megahertz", "frequency"),
    ("ghz", "GHz", "gigahertz", "frequency"),
    ("kbit_s", "kbit/s", "kilobit/second", "bit rate"),
    ("mbit_s", "Mbit/s", "megabit/second", "bit rate"),
    ("deg", "°", "degree", "angle"),
    ("c", "°C", "degree_Celsius", "temperature"),
    ("k", "K", "", "temperature difference"),
    ("nm", "N·m", "newton*meter", "torque"),
    ("kgcm", "kg·cm", "force_kilogram*centimeter", "torque"),
    ("n", "N", "newton", "force"),
    ("m_s", "m/s", "meter/second", "speed"),
    ("km_h", "km/h", "kilometer/hour", "speed"),
    ("deg_s", "°/s", "degree/second", "angular speed"),
    ("s_60deg", "s/60°", "second", "servo speed"),
    ("pa", "Pa", "pascal", "pressure"),
    ("hpa", "hPa", "hectopascal", "pressure"),
    ("g_dm2", "g/dm²", "gram/decimeter**2", "mass per area"),
    ("g_m2", "g/m²", "gram/meter**2", "mass per area"),
    ("kg_m3", "kg/m³", "kilogram/meter**3", "density"),
    ("g_m", "g/m", "gram/meter", "mass per length"),
    ("mv_a", "mV/A", "millivolt/ampere", "sensor scale"),
    ("mah_km", "mAh/km", "milliampere_hour/kilometer", "charge per distance"),
    ("wh_km", "Wh/km", "watt_hour/kilometer", "energy per distance"),
    ("percent", "%", "", "percentage"),
    ("dbm", "dBm", "", "level in dBm"),
    ("dbi", "dBi", "", "antenna gain"),
    ("db", "dB", "", "level difference"),
    ("awg", "AWG", "", "wire gauge"),
    ("c_rate", "C", "", "current rating"),
    ("us_deg", "µs/°", "", "pulse width per angle"),
    ("g_w", "g/W", "", "thrust per power"),
    ("w_kg", "W/kg", "", "power per mass"),
    ("kg_m2", "kg·m²", "", "moment of inertia"),
    ("ratio", "", "", "ratio"),
    ("coefficient", "", "", "ratio"),
)

# Never the end of a column name: `cells_min` is a least count and `plug_in` is no length.
_DISPLAY_UNITS = (
    ("oz", "oz", "ounce", "mass"),
    ("lb", "lb", "pound", "mass"),
    ("in", "in", "inch", "length"),
    ("ft", "ft", "foot", "length"),
    ("in2", "in²", "inch**2", "area"),
    ("min", "min", "minute", "time"),
    ("ozin", "oz·in", "force_ounce*inch", "torque"),
    ("oz_ft2", "oz/ft²", "ounce/foot**2", "mass per area"),
)


def _units() -> Iterator[Unit]:
    for rows, is_suffix in ((_COLUMN_UNITS, True), (_DISPLAY_UNITS, False)):
        for key, label, pint_name, dimension in rows:
            yield Unit(key, label, pint_name, _DIMENSIONS[dimension], is_suffix)


UNITS: Mapping[str, Unit] = {unit.key: unit for unit in _units()}

# One glyph per meaning, so that pasted and printed text reads as typed text does.
GLYPHS = str.maketrans(
    {"\u00a0": " ", "\u202f": " ", "\t": " ", "−": "-", "μ": "µ", "\u2126": "Ω", "⋅": "·",
     "²": "2", "³": "3", "″": '"', "”": '"', "′": "'", "’": "'"}
)  # fmt: skip


def _own_labels(dimension: Dimension) -> dict[str, str]:
    return {unit.label: unit.pint_name for unit in UNITS.values() if unit.dimension is dimension}


def _spellings(dimension: Dimension) -> dict[str, str]:
    """Spelling to pint name: the table's, each stored unit's key and label, and lower case."""
    keys = {unit.key: unit.pint_name for unit in UNITS.values() if unit.dimension is dimension}
    labels = {label.translate(GLYPHS): name for label, name in _own_labels(dimension).items()}
    exact = {**keys, **labels, **dimension.spellings}
    return {spelling.lower(): name for spelling, name in exact.items()} | exact


def _suggestions(dimension: Dimension) -> str:
    labels = _own_labels(dimension)
    plain = {label.translate(GLYPHS) for label in labels}
    more = [spelling for spelling in dimension.spellings if spelling not in plain]
    return ", ".join(filter(None, [*labels, *more]))


ACCEPTED: Mapping[str, Mapping[str, str]] = {
    name: _spellings(dimension) for name, dimension in _DIMENSIONS.items()
}
SUGGESTED: Mapping[str, str] = {
    name: _suggestions(dimension) for name, dimension in _DIMENSIONS.items()
}


def unit_of(field_name: str) -> str | None:
    """Answer the unit that ends a column name (the longest), or None.

    ``min`` is never read as minutes: ``cells_min`` is a least value, durations end in ``_s``.
    """
    words = field_name.split("_")
    for start in range(1, len(words)):
        unit = UNITS.get("_".join(words[start:]))
        if unit and unit.is_suffix:
            return unit.key
    return None


def unit_label(unit: str) -> str:
    """Answer how a unit is written for people: ``mohm`` is mΩ."""
    return UNITS[unit].label
