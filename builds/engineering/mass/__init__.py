"""Mass, centre of gravity and inertia of a set of parts, with uncertainty.

Axes run aft (x), right (y) and up (z) from the datum. Masses in kg, lengths in m.
"""

from builds.engineering.mass.inertia import (
    STANDARD_GRAVITY,
    Inertia,
    bifilar_inertia,
    inertia_about_cg,
)
from builds.engineering.mass.items import (
    Balance,
    Item,
    balance,
    rectangular_uncertainty,
    total_mass,
)
from builds.engineering.mass.reconciliation import (
    Reconciliation,
    Update,
    Weighing,
    masses_after_weighing,
    reconcile,
)
from builds.engineering.mass.shift import (
    ballast_for_cg,
    cg_change_by_shift,
    mass_to_shift,
    position_for_cg,
    position_window_for_cg_range,
)

__all__ = [
    "Balance",
    "Inertia",
    "Item",
    "Reconciliation",
    "STANDARD_GRAVITY",
    "Update",
    "Weighing",
    "balance",
    "ballast_for_cg",
    "bifilar_inertia",
    "cg_change_by_shift",
    "inertia_about_cg",
    "mass_to_shift",
    "masses_after_weighing",
    "position_for_cg",
    "position_window_for_cg_range",
    "reconcile",
    "rectangular_uncertainty",
    "total_mass",
]
