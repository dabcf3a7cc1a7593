"""Third-order products: cubic term of a non-linear stage."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.radio import intermodulation_hits, third_order_products


def test_two_transmitters_make_two_products_near_them():
    # 2 x 5740 - 5760 and 2 x 5760 - 5740 MHz, arithmetic.
    products = third_order_products(frequencies={"a": 5740e6, "b": 5760e6})
    assert [p.frequency for p in products] == [5720e6, 5780e6]
    assert [p.made_by for p in products] == [("a", "a", "b"), ("b", "b", "a")]


def test_products_are_the_lines_of_a_cubed_signal():
    # Independent numerical solution: spectrum of the cube of three tones, by FFT.
    tones = {"a": 40.0, "b": 47.0, "c": 59.0}
    time = np.arange(1024) / 1024
    signal = sum(np.cos(2 * math.pi * f * time) for f in tones.values())
    spectrum = np.abs(np.fft.rfft(signal**3)) / 1024
    lines = {k for k in range(120) if spectrum[k] > 0.01}
    expected = {p.frequency for p in third_order_products(frequencies=tones)}
    # Below the third harmonics the cube has these lines and the tones themselves.
    assert {k for k in lines if k < 100} == {f for f in expected if f < 100} | set(tones.values())


def test_even_spacing_puts_products_on_the_neighbours():
    channels = {"a": 5740e6, "b": 5760e6, "c": 5780e6}
    hits = intermodulation_hits(frequencies=channels, half_width=9e6)
    assert {(h.victim, h.product.made_by) for h in hits} == {
        ("a", ("b", "b", "c")),
        ("c", ("b", "b", "a")),
    }
    assert all(h.offset == 0 for h in hits)


def test_uneven_spacing_keeps_clear():
    channels = {"a": 5658e6, "b": 5695e6, "c": 5880e6}
    assert intermodulation_hits(frequencies=channels, half_width=9e6) == ()


def test_only_the_victims_asked_for_are_examined():
    channels = {"a": 5740e6, "b": 5760e6, "c": 5780e6}
    hits = intermodulation_hits(frequencies=channels, half_width=9e6, victims=["c"])
    assert [h.victim for h in hits] == ["c"]


@given(st.lists(st.integers(5600, 5950), min_size=2, max_size=4, unique=True))
def test_every_product_is_found(channels):
    names = {str(f): float(f) for f in channels}
    found = {p.frequency for p in third_order_products(frequencies=names)}
    for a, b, c in product(channels, repeat=3):
        if c not in (a, b):
            assert float(a + b - c) in found


def test_one_transmitter_makes_no_products():
    assert third_order_products(frequencies={"a": 5.8e9}) == ()


@pytest.mark.parametrize("frequency", [0.0, -1.0, math.nan])
def test_refuses_a_frequency_that_cannot_be(frequency):
    with pytest.raises(OutOfRange, match="frequency of a"):
        third_order_products(frequencies={"a": frequency})
