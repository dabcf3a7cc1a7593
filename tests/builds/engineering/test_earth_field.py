"""The earth's field, by the World Magnetic Model 2025."""

import pytest

from builds.engineering.checks import OutOfRange
from builds.engineering.earth_field import horizontal_field

PLACE = {"latitude": 51.5, "longitude": -0.1, "year": 2026.0}


def test_field_matches_the_models_own_test_values():
    # World Magnetic Model 2025, test values (from memory, not verified): at 80 N, 0 E, sea level,
    # 2025.0: X 6521.6 nT, Y 145.9 nT.
    found = horizontal_field(latitude=80.0, longitude=0.0, year=2025.0)
    assert found * 1e9 == pytest.approx((6521.6**2 + 145.9**2) ** 0.5, abs=0.1)


@pytest.mark.parametrize(
    ("latitude", "longitude", "nanotesla"),
    # World Magnetic Model 2025 as given for the cities themselves, which are not points.
    [(51.5074, -0.1278, 19551.7), (-33.8688, 151.2093, 24631.1), (59.9139, 10.7522, 15140.7)],
)
def test_field_of_cities(latitude, longitude, nanotesla):
    found = horizontal_field(latitude=latitude, longitude=longitude, year=2026.0)
    assert found * 1e9 == pytest.approx(nanotesla, abs=30)


def test_field_gets_weaker_with_height():
    high = horizontal_field(**PLACE, altitude=100_000.0)
    assert high < horizontal_field(**PLACE)


@pytest.mark.parametrize(
    "wrong", [{"latitude": 91.0}, {"longitude": 181.0}, {"year": 2024.9}, {"year": 2030.1}]
)
def test_what_the_model_does_not_cover_is_refused(wrong):
    with pytest.raises(OutOfRange):
        horizontal_field(**{**PLACE, **wrong})
