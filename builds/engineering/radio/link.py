"""Free-space radio: path loss, clearance, polarisation, link margin.

Figures for clear line of sight. They are upper bounds of what a link can do, not promises of range.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)

SPEED_OF_LIGHT = 299_792_458.0
"""Speed of light in vacuum [m/s], exact (SI)."""


def wavelength(*, frequency: float) -> float:
    """Wavelength [m] in vacuum.

    Parameters
    ----------
    frequency : float
        Frequency [Hz], greater than zero.

    Returns
    -------
    float
        Wavelength [m].

    Raises
    ------
    OutOfRange
        If `frequency` is not greater than zero.

    Notes
    -----
    Source: lambda = c / f, c by the SI.

    Examples
    --------
    >>> round(wavelength(frequency=2.44e9) / 4 * 1000, 1)
    30.7
    """
    require_positive(frequency=frequency)
    return SPEED_OF_LIGHT / frequency


def free_space_path_loss(*, frequency: float, distance: float) -> float:
    """Free-space basic transmission loss [dB] between isotropic antennas.

    Parameters
    ----------
    frequency : float
        Frequency [Hz].
    distance : float
        Distance [m], well above one wavelength (far field).

    Returns
    -------
    float
        Loss [dB].

    Raises
    ------
    OutOfRange
        If a value is not greater than zero, or the antennas stand in each other's near field
        (closer than one wavelength).

    Notes
    -----
    Source: Recommendation ITU-R P.525, point-to-point link: 20 log10(4 pi d / lambda).

    Examples
    --------
    >>> round(free_space_path_loss(frequency=1e9, distance=1000.0), 5)
    92.44778
    """
    require_positive(distance=distance)
    wave = wavelength(frequency=frequency)
    if distance < wave:
        raise OutOfRange("distance must be at least one wavelength: the formula is for far fields")
    return 20 * math.log10(4 * math.pi * distance / wave)


def fresnel_radius(*, frequency: float, to_one_end: float, to_other_end: float) -> float:
    """Radius [m] of the first Fresnel zone at a point along the path.

    Parameters
    ----------
    frequency : float
        Frequency [Hz].
    to_one_end, to_other_end : float
        Distances from the point to the two antennas [m].

    Returns
    -------
    float
        Radius [m]; 60 % of it free of obstacles is the usual wish (common practice, after
        Recommendation ITU-R P.530).

    Raises
    ------
    OutOfRange
        If a value is not greater than zero.

    Notes
    -----
    Source: Recommendation ITU-R P.526, Fresnel ellipsoid, n = 1:
    sqrt(lambda d1 d2 / (d1 + d2)).

    Examples
    --------
    >>> round(fresnel_radius(frequency=2.4e9, to_one_end=500.0, to_other_end=500.0), 3)
    5.588
    """
    require_positive(distance_to_one_end=to_one_end, distance_to_the_other_end=to_other_end)
    path = to_one_end + to_other_end
    return math.sqrt(wavelength(frequency=frequency) * to_one_end * to_other_end / path)


def polarisation_loss(*, angle: float, floor: float = 20.0) -> float:
    """Loss [dB] between two linear antennas turned against each other.

    Parameters
    ----------
    angle : float
        Angle between the two antennas [rad], any sign.
    floor : float
        Largest loss returned [dB]: real antennas and reflections leave something over.

    Returns
    -------
    float
        Loss [dB], at most `floor`.

    Raises
    ------
    OutOfRange
        If `angle` is not finite or `floor` is negative.

    Notes
    -----
    Source: polarisation mismatch of linear antennas, -20 log10 |cos angle| (any antenna textbook).
    The floor of 20 dB is common practice, no source.

    Examples
    --------
    >>> round(polarisation_loss(angle=math.radians(60)), 2)
    6.02
    """
    require_between(-2 * math.pi, 2 * math.pi, angle=angle)
    require_not_negative(floor=floor)
    share = abs(math.cos(angle))
    if share <= 10 ** (-floor / 20):
        return floor
    return -20 * math.log10(share)


def linear_to_circular_loss() -> float:
    """Loss [dB] between a linear and a circular antenna.

    Returns
    -------
    float
        10 log10 2 = 3.01 dB.

    Notes
    -----
    Source: half of a circular wave's power lies in any one linear polarisation.
    """
    return 10 * math.log10(2)


def circular_isolation_loss(*, same_hand: bool, floor: float = 20.0) -> float:
    """Loss [dB] between two circular antennas.

    Parameters
    ----------
    same_hand : bool
        Whether both are right-handed or both left-handed.
    floor : float
        Loss between opposite hands [dB]; ideal antennas would have no limit.

    Returns
    -------
    float
        0 for the same hand, `floor` for opposite hands: read it as "at least".

    Raises
    ------
    OutOfRange
        If `floor` is negative.

    Notes
    -----
    Source: orthogonal polarisations; the figure of 20 dB is common practice, no source.
    """
    require_not_negative(floor=floor)
    return 0.0 if same_hand else floor


def power_level(*, power: float) -> float:
    """Power in decibels over one milliwatt [dBm].

    Parameters
    ----------
    power : float
        Power [W], greater than zero.

    Returns
    -------
    float
        Level [dBm].

    Raises
    ------
    OutOfRange
        If `power` is not greater than zero.

    Notes
    -----
    Source: definition of the decibel, 10 log10(P / 1 mW).

    Examples
    --------
    >>> round(power_level(power=0.1), 6)
    20.0
    """
    require_positive(power=power)
    return 10 * math.log10(power / 1e-3)


def radiated_power(*, power: float, gain: float) -> float:
    """Equivalent isotropically radiated power [W].

    Parameters
    ----------
    power : float
        Power into the antenna [W].
    gain : float
        Gain over an isotropic antenna [dB], less losses in the lead.

    Returns
    -------
    float
        Radiated power [W].

    Raises
    ------
    OutOfRange
        If `power` is not greater than zero or the gain is outside -60 to 60 dB.

    Notes
    -----
    Source: definition of e.i.r.p., ITU Radio Regulations, article 1.161.

    Examples
    --------
    >>> round(radiated_power(power=0.025, gain=2.0) * 1000, 1)
    39.6
    """
    require_positive(power=power)
    require_between(-60, 60, gain=gain)
    return power * 10 ** (gain / 10)


@dataclass(frozen=True)
class Link:
    """Received level [dBm], path loss [dB] and margin over the sensitivity [dB]."""

    received: float
    path_loss: float
    margin: float


def link_margin(
    *,
    power: float,
    frequency: float,
    distance: float,
    sensitivity: float,
    transmit_gain: float = 0.0,
    receive_gain: float = 0.0,
    other_loss: float = 0.0,
) -> Link:
    """Level received in free space and what is left over the receiver's sensitivity.

    Parameters
    ----------
    power : float
        Transmitter power [W].
    frequency : float
        Frequency [Hz].
    distance : float
        Distance [m].
    sensitivity : float
        Lowest level at which the receiver works [dBm].
    transmit_gain, receive_gain : float
        Antenna gains over isotropic [dB].
    other_loss : float
        Polarisation, lead and body losses [dB], not negative.

    Returns
    -------
    Link
        Received level [dBm], path loss [dB], margin [dB].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: H. T. Friis, transmission equation, with Recommendation ITU-R P.525.

    Examples
    --------
    >>> link = link_margin(power=0.1, frequency=2.44e9, distance=5000.0, sensitivity=-105.0)
    >>> round(link.received, 2), round(link.margin, 2)
    (-94.17, 10.83)
    """
    require_not_negative(other_loss=other_loss)
    require_between(-200, 50, sensitivity=sensitivity)
    require_between(-60, 60, transmit_gain=transmit_gain, receive_gain=receive_gain)
    loss = free_space_path_loss(frequency=frequency, distance=distance)
    received = power_level(power=power) + transmit_gain + receive_gain - loss - other_loss
    return Link(received=received, path_loss=loss, margin=received - sensitivity)
