"""Words of caution that go beside what is shown of a pack."""

ESTIMATE = (
    "This is an estimate from what you logged. It cannot see damage. Inspect the pack before every "
    "charge and use. The maker's instructions and your local rules come first."
)
CHARGING = (
    "Stay with a charging pack and be able to stop the charge. Use a charger and setting meant for "
    "this chemistry, cell count and full voltage; balance charge; no faster than the maker allows. "
    "Charge on or in something that will not burn, away from anything that will, out of the model, "
    "and let a warm or cold pack reach room temperature first."
)
OUT_OF_SERVICE = (
    "A pack that is swollen, punctured, crushed, wet, smells sweet, has been in a crash, gets hot "
    "at rest, or has a cell below the maker's minimum must not be charged or used. If nobody is "
    "put at risk by it, move it outdoors away from things that burn, watch it, then dispose of it. "
    "A good figure here does not override this."
)
STORAGE = (
    "Store at the maker's storage voltage, cool and dry, in a fire-resistant container, not in a "
    "vehicle or near exits. Do not leave packs full for days."
)
DISPOSAL = (
    "Never in household waste or a fire. Take it to a battery collection point; ask how damaged "
    "packs must be handed in. Insulate the terminals. Discharge first only if the maker says so "
    "and the pack is undamaged."
)
FIRE = "Get out, close the door, call the fire service. Smoke is toxic."
CURRENT = "Estimated, not approved. Never exceed the maker's rating."
AIR_TRAVEL = (
    "Watt-hours shown are for information. Ask your airline before you travel; damaged packs must "
    "not fly."
)
