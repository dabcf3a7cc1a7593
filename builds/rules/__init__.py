"""The rule book, one file per group; importing this package registers every rule."""

from builds.rules import (  # noqa: F401
    controls,
    electrical,
    fit,
    leads,
    outputs,
    packs,
    placing,
    ports,
    power,
    propeller,
    radio,
    rails,
    records,
    signal,
    video,
    weight,
)
