"""Where parts get their power. Voltages at landing: common practice, no source."""

import pytest

from builds.findings import MissingValue
from builds.supply import landing_voltage, regulator_of, supply_of
from tests.builds.records_builder import aircraft, with_part, with_place


@pytest.mark.parametrize(
    ("chemistry", "volts"), [("lipo", 9.9), (None, 9.9), ("li_ion", 9.0), ("lifepo4", 8.4)]
)
def test_voltage_of_three_cells_at_landing(chemistry, volts):
    assert landing_voltage(cell_count=3, chemistry=chemistry) == pytest.approx(volts)


def test_a_regulator_feeds_once_it_is_fitted():
    build = aircraft()
    assert regulator_of(build, build.at("video")) is None
    fitted = with_part(build, "regulator")
    assert regulator_of(fitted, fitted.at("video")) is fitted.at("regulator")


def test_a_place_that_names_itself_as_its_regulator_has_none():
    build = with_place(with_part(aircraft(), "regulator"), "regulator", regulator_key="regulator")
    assert regulator_of(build, build.at("regulator")) is None


def test_an_unknown_supply_is_named():
    build = with_place(aircraft(), "camera", supply="")
    with pytest.raises(MissingValue, match="where it gets its power"):
        supply_of(build, build.at("camera"))
