"""The API of the packs for a build."""

import pytest

from builds.operations import change_build, fit_part
from tests.factories import UserFactory, part_of

pytestmark = pytest.mark.django_db


def at(build, rest="packs/"):
    return f"/api/v1/builds/{build.pk}/{rest}"


@pytest.fixture
def pack(build, user):
    """Its usual pack; every place is filled."""
    for position in build.positions.exclude(kind__in=("airframe", "pack")):
        fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return pack


def test_a_pack_has_the_figures_that_the_build_has_with_it(api, build, pack, user):
    spare = part_of("pack", user, mass_g=120.0)
    found = {one["part"]: one for one in api.get(at(build)).json()["packs"]}
    assert set(found) == {pack.code, spare.code}
    for code, one in found.items():
        whole = api.get(at(build, f"figures/?pack={code}")).json()
        for name, figure in one["figures"].items():
            assert figure["value"] == whole[name]["value"]


def test_counts_are_those_of_the_findings_of_the_build_with_it(api, build, pack, user):
    part_of("pack", user, mass_g=400.0, sheet__cell_count=14)
    for one in api.get(at(build)).json()["packs"]:
        whole = api.get(at(build, f"findings/?pack={one['part']}")).json()["findings"]
        levels = [finding["level"] for finding in whole]
        assert one["warnings"] == levels.count("warning")
        assert one["cautions"] == levels.count("caution")
        said = {finding["message"] for finding in whole}
        assert {finding["message"] for finding in one["fit"] + one["care"]} <= said


def test_pack_out_of_service_is_apart_and_never_among_the_packs(api, build, pack, user):
    stopped = part_of("pack", user, out_of_service="swollen")
    broken = part_of("pack", user, condition="broken")
    said = api.get(at(build)).json()
    assert [one["part"] for one in said["packs"]] == [pack.code]
    assert {one["part"]: one["reason"] for one in said["out_of_service"]} == {
        stopped.code: "Taken out of service: swollen.",
        broken.code: "It is broken.",
    }


def test_packs_of_another_person_are_not_told(api, build, pack):
    part_of("pack", UserFactory())
    assert [one["part"] for one in api.get(at(build)).json()["packs"]] == [pack.code]


def test_unknown_query_parameter_is_refused(api, build):
    assert api.get(at(build, "packs/?pack=1")).status_code == 400


def test_what_every_pack_brings_is_told_once(api, build, pack, user):
    for mass_g in (120.0, 130.0):
        part_of("pack", user, mass_g=mass_g, sheet__cell_count=14)
    alone = api.get(at(build)).json()
    told = [(one["rule"], one["message"]) for one in alone["with_any"]]
    for one in alone["packs"]:
        assert not set(told) & {(f["rule"], f["message"]) for f in one["fit"] + one["care"]}
        whole = api.get(at(build, f"findings/?pack={one['part']}")).json()["findings"]
        assert set(told) <= {(f["rule"], f["message"]) for f in whole}
