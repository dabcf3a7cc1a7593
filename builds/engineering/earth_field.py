"""The earth's magnetic field, by which a compass tells the heading."""

from __future__ import annotations

from functools import cache

from pygeomag import GeoMag  # type: ignore[import-untyped]

from builds.engineering.checks import require_between

FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0
"""Years for which the model of 2025 was made."""
NANOTESLA = 1e-9
KILOMETRE = 1e3


def horizontal_field(
    *, latitude: float, longitude: float, year: float, altitude: float = 0.0
) -> float:
    """Horizontal flux density of the earth's field [T].

    Parameters
    ----------
    latitude, longitude : float
        Geodetic, north and east [deg].
    year : float
        Decimal year [1], 2025 to 2030.
    altitude : float
        Above mean sea level [m], -1000 to 100 000.

    Returns
    -------
    float
        Horizontal flux density [T]; local iron and buildings are not in it.

    Raises
    ------
    OutOfRange
        If a value is out of range: the model holds for five years.

    Notes
    -----
    Source: World Magnetic Model 2025 (NOAA and British Geological Survey), through pygeomag.

    Examples
    --------
    >>> round(horizontal_field(latitude=80.0, longitude=0.0, year=2025.0) * 1e9)
    6523
    """
    require_between(-90, 90, latitude=latitude)
    require_between(-180, 180, longitude=longitude)
    require_between(FIRST_YEAR, LAST_YEAR, year=year)
    require_between(-1000, 100_000, altitude=altitude)
    found = _model().calculate(glat=latitude, glon=longitude, alt=altitude / KILOMETRE, time=year)
    return float(found.h) * NANOTESLA


@cache
def _model() -> GeoMag:
    return GeoMag()
