"""Radio links in free space and transmitters that disturb each other; SI units and decibels."""

from builds.engineering.radio.intermodulation import (
    Hit,
    Product,
    intermodulation_hits,
    third_order_products,
)
from builds.engineering.radio.link import (
    Link,
    circular_isolation_loss,
    free_space_path_loss,
    fresnel_radius,
    linear_to_circular_loss,
    link_margin,
    polarisation_loss,
    power_level,
    radiated_power,
    wavelength,
)

__all__ = [
    "Hit",
    "Link",
    "Product",
    "circular_isolation_loss",
    "free_space_path_loss",
    "fresnel_radius",
    "intermodulation_hits",
    "linear_to_circular_loss",
    "link_margin",
    "polarisation_loss",
    "power_level",
    "radiated_power",
    "third_order_products",
    "wavelength",
]
