"""The air at the field: its density, and the altitude that goes with it."""

from __future__ import annotations

from dataclasses import dataclass

from builds.engineering.atmosphere import (
    ZERO_CELSIUS,
    air_density,
    geopotential_altitude,
    standard_pressure,
    standard_temperature,
)
from builds.engineering.atmosphere import density_altitude as density_altitude_of
from builds.figures.results import Figures, Input, Worked, propagate
from builds.records import AirRecord, BuildSnapshot

PRESSURE_SPREAD = 0.01
"""Standard uncertainty of the pressure of a day, as a share: common practice, no source."""
TEMPERATURE_SPREAD_K = 2.0
"""Standard uncertainty of a temperature that was entered: common practice, no source."""
SEASON_SPREAD_K = 10.0
"""Standard uncertainty of a temperature that was assumed: common practice, no source."""
ELEVATION_SOURCES = {"club": "of the club's field", "asked": "as asked"}

DENSITY_SOURCE = (
    "U.S. Standard Atmosphere 1976, equations (18), (23), (33a) and (42); dry air of the pressure"
    " that is standard at this elevation."
)
ALTITUDE_SOURCE = "U.S. Standard Atmosphere 1976, equations (23) and (33a) solved for the altitude."
STANDARD_NOTE = "Nobody gave an elevation: standard sea level is assumed."
TEMPERATURE_NOTE = "Nobody gave a temperature: that of the standard atmosphere is assumed."


@dataclass(frozen=True)
class Air:
    """Pressure [Pa] and temperature [K] of the air, its spread [K], inputs and notes."""

    pressure: float
    temperature: float
    temperature_spread: float
    inputs: tuple[Input, ...]
    note: str

    @property
    def density(self) -> float:
        """Density [kg/m3]."""
        return air_density(pressure=self.pressure, temperature=self.temperature)

    def estimates(self) -> list[tuple[float, float]]:
        """Pressure and temperature, each with its standard uncertainty."""
        return [
            (self.pressure, PRESSURE_SPREAD * self.pressure),
            (self.temperature, self.temperature_spread),
        ]


def read_air(snapshot: BuildSnapshot) -> Air:
    """The air that the figures are for: as given, else standard, else that of sea level.

    Raises
    ------
    OutOfRange
        When the elevation or the temperature lies outside what the formulas hold for.
    """
    return air_of(snapshot.air)


def air_of(given: AirRecord) -> Air:
    """The air that goes with an elevation and a temperature, as `read_air`."""
    notes, inputs = [], []
    altitude = geopotential_altitude(geometric_altitude=given.elevation_m or 0.0)
    if given.elevation_m is None:
        notes.append(STANDARD_NOTE)
        inputs.append(Input("elevation", 0.0, "m", "assumed"))
    else:
        source = ELEVATION_SOURCES.get(given.source, given.source)
        inputs.append(Input("elevation", given.elevation_m, "m", source))
    if given.temperature_c is None:
        notes.append(TEMPERATURE_NOTE)
        temperature, spread, source = standard_temperature(altitude=altitude), SEASON_SPREAD_K, ""
    else:
        temperature, spread = given.temperature_c + ZERO_CELSIUS, TEMPERATURE_SPREAD_K
        source = ELEVATION_SOURCES["asked"]
    inputs.append(Input("temperature", temperature - ZERO_CELSIUS, "°C", source or "assumed"))
    return Air(
        pressure=standard_pressure(altitude=altitude),
        temperature=temperature,
        temperature_spread=spread,
        inputs=tuple(inputs),
        note=" ".join(notes),
    )


def density(figures: Figures) -> Worked:
    """Density of the air [kg/m3]."""
    air = read_air(figures.snapshot)
    value, uncertainty = propagate(
        lambda n: air_density(pressure=n[0], temperature=n[1]), air.estimates()
    )
    return Worked(value, uncertainty, air.inputs, DENSITY_SOURCE, air.note)


def density_altitude(figures: Figures) -> Worked:
    """Altitude at which the standard atmosphere has this density [m]."""
    air = figures.need("air_density_kg_m3")
    value, uncertainty = propagate(
        lambda n: density_altitude_of(density=n[0]), [(air.value, air.uncertainty)]
    )
    return Worked(value, uncertainty, (air.as_input(), *air.inputs), ALTITUDE_SOURCE, air.note)
