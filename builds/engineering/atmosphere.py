"""Standard atmosphere of the troposphere, density of real air, and viscosity."""

import math

from builds.engineering.checks import require_between, require_positive

SEA_LEVEL_TEMPERATURE = 288.15
SEA_LEVEL_PRESSURE = 101325.0
SEA_LEVEL_DENSITY = 1.225
LAPSE_RATE = 0.0065
STANDARD_GRAVITY = 9.80665
GAS_CONSTANT_DRY_AIR = 287.05287
GAS_CONSTANT_VAPOUR = 461.495
EARTH_RADIUS = 6_356_766.0
ZERO_CELSIUS = 273.15

LOWEST_ALTITUDE = -1000.0
TROPOPAUSE = 11_000.0
_PRESSURE_EXPONENT = STANDARD_GRAVITY / (GAS_CONSTANT_DRY_AIR * LAPSE_RATE)


def geopotential_altitude(*, geometric_altitude: float) -> float:
    """Return the geopotential altitude of a height above sea level [m].

    Parameters
    ----------
    geometric_altitude : float
        Height above mean sea level as a tape would measure it [m], -1000 to 11 019.

    Returns
    -------
    float
        Geopotential altitude [m].

    Raises
    ------
    OutOfRange
        When the altitude is outside the range.

    Source
    ------
    U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562), equation (18), r0 = 6 356 766 m.

    >>> round(geopotential_altitude(geometric_altitude=1000.0), 2)
    999.84
    """
    require_between(LOWEST_ALTITUDE, 11_019, geometric_altitude=geometric_altitude)
    return EARTH_RADIUS * geometric_altitude / (EARTH_RADIUS + geometric_altitude)


def standard_temperature(*, altitude: float) -> float:
    """Return the temperature of the standard atmosphere [K].

    Parameters
    ----------
    altitude : float
        Geopotential altitude [m], -1000 to 11 000.

    Returns
    -------
    float
        Temperature [K].

    Raises
    ------
    OutOfRange
        When the altitude is outside the range.

    Source
    ------
    U.S. Standard Atmosphere 1976, equation (23).

    >>> round(standard_temperature(altitude=1000.0), 2)
    281.65
    """
    require_between(LOWEST_ALTITUDE, TROPOPAUSE, altitude=altitude)
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * altitude


def standard_pressure(*, altitude: float) -> float:
    """Return the pressure of the standard atmosphere [Pa].

    Parameters
    ----------
    altitude : float
        Geopotential altitude [m], -1000 to 11 000.

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    OutOfRange
        When the altitude is outside the range.

    Source
    ------
    U.S. Standard Atmosphere 1976, equation (33a).

    >>> round(standard_pressure(altitude=0.0), 1)
    101325.0
    """
    ratio = standard_temperature(altitude=altitude) / SEA_LEVEL_TEMPERATURE
    pressure: float = SEA_LEVEL_PRESSURE * ratio**_PRESSURE_EXPONENT
    return pressure


def standard_density(*, altitude: float) -> float:
    """Return the density of the standard atmosphere [kg/m3].

    Parameters
    ----------
    altitude : float
        Geopotential altitude [m], -1000 to 11 000.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    OutOfRange
        When the altitude is outside the range.

    Source
    ------
    U.S. Standard Atmosphere 1976, equation (42).

    >>> round(standard_density(altitude=1000.0), 5)
    1.11164
    """
    return air_density(
        pressure=standard_pressure(altitude=altitude),
        temperature=standard_temperature(altitude=altitude),
    )


def air_density(*, pressure: float, temperature: float, relative_humidity: float = 0.0) -> float:
    """Return the density of air, dry or moist [kg/m3].

    Parameters
    ----------
    pressure : float
        Pressure at the place, not reduced to sea level [Pa], 20 000 to 115 000.
    temperature : float
        Temperature [K], 213 to 333.
    relative_humidity : float
        Over water, 0 to 1.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    OutOfRange
        When an argument is outside its range.

    Source
    ------
    Ideal gases in mixture (Dalton); saturation pressure by the Magnus form of WMO-No. 8,
    annex 4.B, 611.2 Pa exp(17.62 t / (243.12 + t)), good to 0.6 % from -45 to 60 C
    (coefficients from memory, not verified).

    >>> round(air_density(pressure=101325.0, temperature=288.15), 4)
    1.225
    """
    require_between(20_000, 115_000, pressure=pressure)
    require_between(213, 333, temperature=temperature)
    require_between(0, 1, relative_humidity=relative_humidity)
    vapour = relative_humidity * _saturation_pressure(temperature)
    dry = pressure - vapour
    return (dry / GAS_CONSTANT_DRY_AIR + vapour / GAS_CONSTANT_VAPOUR) / temperature


def density_altitude(*, density: float) -> float:
    """Return the altitude at which the standard atmosphere has a density [m].

    Parameters
    ----------
    density : float
        Density of the air [kg/m3], 0.364 to 1.347 (11 km to 1 km below sea level).

    Returns
    -------
    float
        Geopotential altitude [m].

    Raises
    ------
    OutOfRange
        When the density is outside the range.

    Source
    ------
    U.S. Standard Atmosphere 1976, equations (23) and (33a) solved for the altitude.

    >>> round(density_altitude(density=0.971684), 1)
    2348.6
    """
    require_between(0.364, 1.347, density=density)
    sea_level = SEA_LEVEL_PRESSURE / (GAS_CONSTANT_DRY_AIR * SEA_LEVEL_TEMPERATURE)
    ratio: float = (density / sea_level) ** (1 / (_PRESSURE_EXPONENT - 1))
    return SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1 - ratio)


def dynamic_viscosity(*, temperature: float) -> float:
    """Return the dynamic viscosity of air [Pa s].

    Parameters
    ----------
    temperature : float
        Temperature [K], 100 to 1000.

    Returns
    -------
    float
        Dynamic viscosity [Pa s].

    Raises
    ------
    OutOfRange
        When the temperature is outside the range.

    Source
    ------
    Sutherland's formula, U.S. Standard Atmosphere 1976, equation (51).

    >>> round(dynamic_viscosity(temperature=288.15) * 1e5, 5)
    1.78938
    """
    require_between(100, 1000, temperature=temperature)
    viscosity: float = 1.458e-6 * temperature**1.5 / (temperature + 110.4)
    return viscosity


def kinematic_viscosity(*, temperature: float, density: float) -> float:
    """Return the kinematic viscosity of air [m2/s].

    Parameters
    ----------
    temperature : float
        Temperature [K], 100 to 1000.
    density : float
        Density [kg/m3].

    Returns
    -------
    float
        Kinematic viscosity [m2/s].

    Raises
    ------
    OutOfRange
        When the temperature is outside the range or the density not positive.

    Source
    ------
    U.S. Standard Atmosphere 1976, equation (52).

    >>> round(kinematic_viscosity(temperature=288.15, density=1.225) * 1e5, 5)
    1.46072
    """
    require_positive(density=density)
    return dynamic_viscosity(temperature=temperature) / density


def _saturation_pressure(temperature: float) -> float:
    celsius = temperature - ZERO_CELSIUS
    exponent: float = 17.62 * celsius / (243.12 + celsius)
    pressure: float = 611.2 * math.e**exponent
    return pressure
