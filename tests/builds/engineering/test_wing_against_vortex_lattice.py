"""The quarter-chord rule against a vortex-lattice program, where that is installed."""

import math

import pytest

from builds.engineering import wing
from builds.engineering.wing import Station

asb = pytest.importorskip("aerosandbox", reason="aerosandbox is not installed")

PLANFORMS = {
    "rectangle": [(0, 0, 0.2), (0.5, 0, 0.2)],
    "swept back": [(0, 0, 0.25), (0.45, 0.25, 0.13)],
    "swept forward": [(0, 0.10, 0.22), (0.45, 0, 0.16)],
    "two panels forward": [(0, 0.12, 0.26), (0.15, 0.09, 0.22), (0.5, 0, 0.12)],
    "cranked back": [(0, 0, 0.35), (0.12, 0.10, 0.22), (0.5, 0.24, 0.12)],
    "invented tapered": [(0, 0.05, 0.24), (0.6, 0.11, 0.16)],
    "invented slender": [(0, 0.17, 0.21), (0.6, 0.185, 0.17)],
    "invented swept": [(0, 0.07, 0.24), (0.45, 0.21, 0.15)],
    "invented three panels": [(0, 0, 0.28), (0.1, 0.06, 0.22), (0.3, 0.13, 0.18), (0.5, 0.2, 0.12)],
}


def as_program_wing(sections):
    foil = asb.Airfoil("naca0012")
    return asb.Wing(
        symmetric=True,
        xsecs=[
            asb.WingXSec(xyz_le=[x, y, 0], chord=chord, airfoil=foil) for y, x, chord in sections
        ],
    )


def neutral_point_by_vortex_lattice(sections):
    airplane = asb.Airplane(xyz_ref=[0, 0, 0], wings=[as_program_wing(sections)])
    runs = [
        asb.VortexLatticeMethod(
            airplane=airplane,
            op_point=asb.OperatingPoint(velocity=15, alpha=alpha),
            spanwise_resolution=24,
            chordwise_resolution=8,
        ).run()
        for alpha in (0, 2)
    ]

    def normal_force(run, alpha):
        a = math.radians(alpha)
        return run["L"] * math.cos(a) + run["D"] * math.sin(a)

    moment = runs[1]["m_b"] - runs[0]["m_b"]
    return float(-moment / (normal_force(runs[1], 2) - normal_force(runs[0], 0)))


@pytest.mark.parametrize("sections", PLANFORMS.values(), ids=PLANFORMS.keys())
def test_geometry_agrees_with_the_program(sections):
    ours = wing.planform(stations=[Station(*section) for section in sections])
    theirs = as_program_wing(sections)
    assert ours.area == pytest.approx(theirs.area())
    assert ours.span == pytest.approx(theirs.span())
    assert ours.mean_chord == pytest.approx(theirs.mean_aerodynamic_chord())
    assert wing.quarter_chord_neutral_point(wing=ours) == pytest.approx(
        theirs.aerodynamic_center()[0]
    )


@pytest.mark.parametrize("sections", PLANFORMS.values(), ids=PLANFORMS.keys())
def test_quarter_chord_rule_stays_within_its_limit(sections):
    ours = wing.planform(stations=[Station(*section) for section in sections])
    difference = neutral_point_by_vortex_lattice(sections) - wing.quarter_chord_neutral_point(
        wing=ours
    )
    assert abs(difference) <= wing.NEUTRAL_POINT_LIMIT_TAILLESS * ours.mean_chord
