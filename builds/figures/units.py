"""Units of the records in SI: the only place where the two meet."""

import math

GRAM = 1e-3
MILLIMETRE = 1e-3
SQUARE_DECIMETRE = 1e-2
GRAM_PER_SQUARE_DECIMETRE = GRAM / SQUARE_DECIMETRE
MILLIOHM = 1e-3
MILLIAMPERE_HOUR = 3.6
MINUTE = 60.0
RPM = math.pi / 30
GRAM_FORCE = GRAM * 9.80665
PERCENT = 1e-2
