"""Figures of a build: what it weighs, how it balances, how it flies and what it draws.

The only bridge between the units of the records and the SI units of the formulas.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from types import MappingProxyType

from builds.figures import air, endurance, flight, inertia, mass, power, stability, wing
from builds.figures.results import Figure, Figures, Input, Maker, Unknown
from builds.records import BuildSnapshot

__all__ = ["MAKERS", "Figure", "Figures", "Input", "Maker", "Unknown", "figures_of"]

MAKERS = MappingProxyType(
    {
        "empty_g": Maker("g", partial(mass.total, with_pack=False)),
        "auw_g": Maker("g", partial(mass.total, with_pack=True)),
        "cg_x_mm": Maker("mm", partial(mass.centre, axis="x")),
        "cg_y_mm": Maker("mm", partial(mass.centre, axis="y")),
        "cg_z_mm": Maker("mm", partial(mass.centre, axis="z")),
        "empty_cg_x_mm": Maker("mm", partial(mass.centre, axis="x", with_pack=False)),
        "pack_x_wanted_mm": Maker("mm", mass.pack_place),
        "cg_min_x_mm": Maker("mm", partial(mass.limit, name="cg_min_x_mm")),
        "cg_max_x_mm": Maker("mm", partial(mass.limit, name="cg_max_x_mm")),
        "cg_target_x_mm": Maker("mm", partial(mass.limit, name="cg_target_x_mm")),
        "weighed_difference_g": Maker("g", mass.weighed_difference),
        "balance_point_difference_mm": Maker("mm", mass.balance_point_difference),
        "inertia_roll_kg_m2": Maker("kg·m²", partial(inertia.moment, axis="roll")),
        "inertia_pitch_kg_m2": Maker("kg·m²", partial(inertia.moment, axis="pitch")),
        "inertia_yaw_kg_m2": Maker("kg·m²", partial(inertia.moment, axis="yaw")),
        "wing_area_dm2": Maker("dm²", wing.area),
        "wing_span_mm": Maker("mm", wing.span),
        "mean_chord_mm": Maker("mm", wing.mean_chord),
        "mean_chord_le_mm": Maker("mm", wing.mean_chord_le),
        "cg_percent": Maker("%", wing.cg_percent),
        "neutral_point_mm": Maker("mm", stability.neutral_point),
        "static_margin_percent": Maker("%", stability.static_margin),
        "cg_suggested_min_x_mm": Maker("mm", partial(stability.suggested, is_foremost=True)),
        "cg_suggested_max_x_mm": Maker("mm", partial(stability.suggested, is_foremost=False)),
        "wing_loading_g_dm2": Maker("g/dm²", wing.wing_loading),
        "stall_speed_m_s": Maker("m/s", wing.stall_speed),
        "cubic_loading_kg_m3": Maker("kg/m³", flight.cubic_loading),
        "cruise_speed_m_s": Maker("m/s", flight.cruise_speed),
        "reynolds_stall": Maker("", partial(flight.reynolds, speed="stall_speed_m_s")),
        "reynolds_cruise": Maker("", partial(flight.reynolds, speed="cruise_speed_m_s")),
        "disc_loading_g_dm2": Maker("g/dm²", flight.disc_loading),
        "hover_throttle_percent": Maker("%", flight.hover_throttle),
        "air_density_kg_m3": Maker("kg/m³", air.density),
        "density_altitude_m": Maker("m", air.density_altitude),
        "pack_full_v": Maker("V", power.pack_full),
        "current_max_a": Maker("A", power.pack_current),
        "pack_current_each_max_a": Maker("A", power.current_of_each_pack),
        "motor_current_max_a": Maker("A", power.motor_current),
        "power_max_w": Maker("W", power.power),
        "thrust_max_g": Maker("g", power.thrust),
        "thrust_to_weight": Maker("", power.thrust_to_weight),
        "rpm_max": Maker("rpm", power.rpm),
        "tip_mach": Maker("", power.tip_mach),
        "endurance_min": Maker("min", endurance.endurance),
    }
)


def figures_of(
    snapshot: BuildSnapshot, known: Mapping[str, Figure | Unknown] | None = None
) -> Figures:
    """All figures of a build by name, each calculated when first asked for, but those `known`."""
    return Figures(snapshot, MAKERS, known)
