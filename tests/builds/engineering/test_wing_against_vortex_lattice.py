"""Geometry and neutral point against another program's: aerosandbox, its own vortex lattice."""

import math

import aerosandbox as asb
import pytest

from builds.engineering import wing
from builds.engineering.wing import Station

PLANFORMS = {
    "rectangle": [(0, 0, 0.2), (0.5, 0, 0.2)],
    "swept back": [(0, 0, 0.25), (0.45, 0.25, 0.13)],
    "swept forward": [(0, 0.10, 0.22), (0.45, 0, 0.16)],
    "two panels forward": [(0, 0.12, 0.26), (0.15, 0.09, 0.22), (0.5, 0, 0.12)],
    "cranked back": [(0, 0, 0.35), (0.12, 0.10, 0.22), (0.5, 0.24, 0.12)],
    "invented small": [(0, 0.06, 0.19), (0.32, 0.155, 0.11)],
    "invented swept": [(0, 0.07, 0.24), (0.45, 0.21, 0.15)],
    "invented slender": [(0, 0.17, 0.21), (0.6, 0.185, 0.17)],
    "invented three panels": [(0, 0, 0.28), (0.1, 0.06, 0.22), (0.3, 0.13, 0.18), (0.5, 0.2, 0.12)],
    "aspect ratio 3": [(0, 0, 0.4), (0.6, 0.2, 0.4)],
    "aspect ratio 12": [(0, 0, 0.15), (0.9, 0, 0.15)],
    "45 degrees back": [(0, 0, 0.2), (0.5, 0.5, 0.2)],
    "30 degrees forward": [(0, 0.29, 0.2), (0.5, 0, 0.2)],
}
# Main surface, second surface, height of the second. A wake in the very plane of a second surface
# depends on how the panels of the program fall, so none lies there.
PAIRS = {
    "tail, low": ([(0, 0.10, 0.2), (0.6, 0.125, 0.15)], [(0, 0.70, 0.12), (0.22, 0.72, 0.1)], 0.05),
    "tail, high": ([(0, 0.10, 0.2), (0.6, 0.125, 0.15)], [(0, 0.70, 0.12), (0.22, 0.72, 0.1)], 0.1),
    "invented tail": ([(0, 0.17, 0.21), (0.6, 0.185, 0.17)], [(0, 0.64, 0.13), (0.22, 0.66, 0.09)],
                      0.02),
    "foreplane": ([(0, 0.35, 0.22), (0.5, 0.42, 0.14)], [(0, 0.02, 0.1), (0.2, 0.04, 0.08)], 0.1),
}  # fmt: skip
DIHEDRAL = [(0, 0.05, 0.24, 0.0), (0.3, 0.08, 0.2, 0.0), (0.6, 0.14, 0.14, 0.12)]


def stations(sections, z=0.0):
    return [Station(*section, *([] if len(section) == 4 else [z])) for section in sections]


def as_program_wing(half):
    foil = asb.Airfoil("naca0012")
    return asb.Wing(
        symmetric=True,
        xsecs=[
            asb.WingXSec(xyz_le=[one.x_le, one.y, one.z], chord=one.chord, airfoil=foil)
            for one in half
        ],
    )


def neutral_point_by_program(*surfaces, spanwise=24, chordwise=6):
    airplane = asb.Airplane(xyz_ref=[0, 0, 0], wings=[as_program_wing(one) for one in surfaces])
    runs = [
        asb.VortexLatticeMethod(
            airplane=airplane,
            op_point=asb.OperatingPoint(velocity=15, alpha=alpha),
            spanwise_resolution=spanwise,
            chordwise_resolution=chordwise,
        ).run()
        for alpha in (0, 2)
    ]

    def normal_force(run, alpha):
        a = math.radians(alpha)
        return run["L"] * math.cos(a) + run["D"] * math.sin(a)

    moment = runs[1]["m_b"] - runs[0]["m_b"]
    return float(-moment / (normal_force(runs[1], 2) - normal_force(runs[0], 0)))


def neutral_point(*surfaces):
    lifts = wing.surface_lifts(surfaces=surfaces)
    return wing.neutral_point(lifts=lifts, pressure_ratios=[1.0] * len(lifts))


@pytest.mark.parametrize("sections", PLANFORMS.values(), ids=PLANFORMS.keys())
def test_geometry_agrees_with_the_program(sections):
    ours, theirs = wing.planform(stations=stations(sections)), as_program_wing(stations(sections))
    assert ours.area == pytest.approx(theirs.area())
    assert ours.span == pytest.approx(theirs.span())
    assert ours.mean_chord == pytest.approx(theirs.mean_aerodynamic_chord())
    quarter = wing.x_at_percent_of_mean_chord(percent=25, wing=ours)
    assert quarter == pytest.approx(theirs.aerodynamic_center()[0])


@pytest.mark.parametrize(
    "sections", [*PLANFORMS.values(), DIHEDRAL], ids=[*PLANFORMS.keys(), "raised tips"]
)
def test_neutral_point_of_a_wing_agrees_with_the_program(sections):
    half = stations(sections)
    chord = wing.planform(stations=half).mean_chord
    assert abs(neutral_point(half) - neutral_point_by_program(half)) < 0.01 * chord


@pytest.mark.parametrize(("main", "second", "z"), PAIRS.values(), ids=PAIRS.keys())
def test_neutral_point_of_two_surfaces_agrees_with_the_program(main, second, z):
    surfaces = stations(main), stations(second, z)
    chord = wing.planform(stations=surfaces[0]).mean_chord
    theirs = neutral_point_by_program(*surfaces, spanwise=12)
    assert abs(neutral_point(*surfaces) - theirs) < 0.02 * chord
