"""What the pages of builds say about harm; the makers' data and local rules come first."""

from inventory.health.cautions import OUT_OF_SERVICE

ESTIMATE = (
    "What is worked out here is an estimate from what was entered. It is not a clearance to fly:"
    " the makers' data, your local rules and your own checks before the flight decide."
)
PROPELLERS = (
    "Propellers off whenever the aircraft gets power on the bench: a motor can start by itself and"
    " cuts deep."
)
RADIO = (
    "Transmit only on bands and with power that your licence and local rules allow, and never"
    " without an antenna."
)
CONTROLS = (
    "Before every flight move each stick and look at each surface: the right one, the right way,"
    " far enough, and free of the stops."
)
ALL = (ESTIMATE, PROPELLERS, OUT_OF_SERVICE, RADIO)
