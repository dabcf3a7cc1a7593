"""The pages of power and placing, as a person walks through them."""

import re

import pytest
from django.urls import reverse

from builds import operations
from builds.models import PowerReading
from tests.factories import BuildFactory, ClubFactory, UserFactory, member_of, part_of

QUERIES_MOST = 12
READ = {"voltage_v": "15.6 V", "current_a": "30", "speed_rpm": "24000"}


@pytest.fixture
def build(user):
    """A wing with its parts in, and a pack on hand."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    lead = operations.add_position(build, by=user, key="lead", name="Lead", kind="lead")
    operations.fit_part(lead, part_of("lead", user, mass_g=12.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return build


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def address(name, build):
    return reverse(f"builds:{name}", args=[build.pk])


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain)


@pytest.mark.parametrize("name", ["power", "placing"])
def test_page_takes_twelve_queries_at_most(
    client, build, user, name, django_assert_max_num_queries
):
    for number in range(12):
        part_of("pack", user, mass_g=150.0 + number)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address(name, build)).status_code == 200


@pytest.mark.parametrize("name", ["power", "placing"])
def test_page_is_hidden_from_strangers_and_needs_a_sign_in(client_of, build, name):
    assert client_of(UserFactory()).get(address(name, build)).status_code == 404
    assert client_of(None).get(address(name, build)).status_code == 302


@pytest.mark.parametrize("name", ["power", "placing"])
def test_page_holds_no_script_or_style_of_its_own(client, build, name):
    page = client.get(address(name, build)).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)


@pytest.mark.parametrize("name", ["power", "placing"])
def test_page_has_no_id_twice(client, build, name):
    page = client.get(address(name, build)).content.decode()
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_build_page_leads_to_both(client, build):
    page = client.get(address("build_detail", build)).content.decode()
    assert address("power", build) in page
    assert address("placing", build) in page


def test_throttle_and_airspeed_asked_for_are_shown(client, build):
    text = text_of(client.get(address("power", build), {"duty": "0.7", "airspeed_m_s": "12 m/s"}))
    assert "Throttle 0.7, at 12" in text
    assert "Full throttle, at rest" in text


@pytest.mark.parametrize(
    "query",
    [{"duty": "0"}, {"duty": "two"}, {"airspeed_m_s": "-1"}, {"temperature_c": "900"}],
)
def test_bad_question_is_told_and_the_usual_is_shown(client, build, query):
    answer = client.get(address("power", build), query)
    assert answer.status_code == 400
    assert "The usual is shown" in text_of(answer)


def test_reading_is_written_down_and_used(client, build):
    client.post(address("power_reading_add", build), READ)
    text = text_of(client.get(address("power", build)))
    assert "in use" in text
    assert "Settled by the reading on the bench" in text


def test_reading_of_a_propeller_that_was_taken_out_is_not_used(client, build, user):
    client.post(address("power_reading_add", build), READ)
    fitting = build.fittings.open().get(position__key="propeller")
    operations.swap_part(fitting, part_of("propeller", user), by=user)
    assert "of another motor or propeller" in text_of(client.get(address("power", build)))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"current_a": ""}, "This field is required"),
        ({"speed_rpm": "-3"}, "above zero"),
        ({"thrust_g": "90000"}, "momentum theory"),
        ({"voltage_v": "5 parsecs"}, "not a unit"),
    ],
)
def test_bad_reading_is_told_at_its_field_and_nothing_is_kept(client, build, given, says):
    answer = client.post(address("power_reading_add", build), READ | given)
    assert answer.status_code == 400
    assert says in text_of(answer)
    assert not PowerReading.objects.exists()


def test_member_may_look_but_not_write_down(client_of):
    club = ClubFactory()
    build, member = BuildFactory(club=club), client_of(member_of(club))
    assert "Write down a reading" not in text_of(member.get(address("power", build)))
    assert member.post(address("power_reading_add", build), READ).status_code == 403


def test_placing_takes_the_field_of_the_club(client_of):
    club = ClubFactory(field_latitude_deg=51.5, field_longitude_deg=-0.1)
    build, member = BuildFactory(club=club), client_of(member_of(club))
    # World Magnetic Model 2025 by pygeomag 1.1.0: 19.55 microtesla at 2026.0, falling slowly.
    assert re.search(
        r"Earth's horizontal field 19\.[56]",
        text_of(member.get(address("placing", build))).replace("&#x27;", "'"),
    )


def test_placing_of_a_private_build_takes_the_field_of_a_club_of_its_owner(client, build, user):
    club = ClubFactory(field_latitude_deg=51.5, field_longitude_deg=-0.1)
    club.memberships.create(user=user)
    text = text_of(client.get(address("placing", build))).replace("&#x27;", "'")
    assert re.search(r"Earth's horizontal field 19\.[56]", text)


def test_bad_place_is_told(client, build):
    answer = client.get(address("placing", build), {"latitude_deg": "91"})
    assert answer.status_code == 400


def test_set_up_takes_the_chosen_flight(client, build):
    given = {"name": "Swift", "full_throttle_share_percent": "15", "reserve_percent": "30"}
    client.post(address("build_change", build), given)
    build.refresh_from_db()
    assert (build.full_throttle_share_percent, build.reserve_percent) == (15.0, 30.0)


def test_another_pack_can_be_looked_at_and_a_strange_one_not(client, build, user):
    other = part_of("pack", user, sheet__cell_count=6, sheet__name="six cells")
    text = text_of(client.get(address("power", build), {"pack": other.code}))
    assert "with" in text
    assert "six cells" in text.split("Look at")[0]
    strange = part_of("pack", UserFactory())
    assert client.get(address("power", build), {"pack": strange.code}).status_code == 404


def test_the_flight_is_chosen_on_the_page_and_the_endurance_follows(client, build):
    before = text_of(client.get(address("power", build)))
    given = {
        "cruise_speed_m_s": "50 km/h",
        "full_throttle_share_percent": "15",
        "reserve_percent": "30",
    }
    answer = client.post(address("power_flight", build), given, follow=True)
    build.refresh_from_db()
    # 50 km/h is 13.888... m/s: definition.
    assert build.cruise_speed_m_s == pytest.approx(50 / 3.6)
    assert (build.full_throttle_share_percent, build.reserve_percent) == (15.0, 30.0)
    assert "worked out for this flight" in text_of(answer)
    endurance = r"Endurance ([\d.]+) min"
    assert re.search(endurance, before)[1] != re.search(endurance, text_of(answer))[1]


@pytest.mark.parametrize(
    "given", [{"reserve_percent": "95"}, {"cruise_speed_m_s": "fast"}, {"reserve_percent": "-1"}]
)
def test_a_flight_that_cannot_be_is_told_and_nothing_changes(client, build, given):
    number = build.revision
    answer = client.post(address("power_flight", build), given)
    build.refresh_from_db()
    assert answer.status_code == 400
    assert "Nothing was saved" in text_of(answer)
    assert build.revision == number


def test_endurance_is_shown_with_the_ends_of_its_range(client, build):
    text = text_of(client.get(address("power", build)))
    assert re.search(r"Endurance [\d.]+ min [\d.]+ min to [\d.]+ min", text)
    assert re.search(r"\d W [\d.]+ min [\d.]+ to [\d.]+ min", text)


def test_a_reading_shows_the_figures_without_and_with_it(client, build):
    assert "What the reading settles" not in text_of(client.get(address("power", build)))
    client.post(address("power_reading_add", build), READ)
    text = text_of(client.get(address("power", build))).split("What the reading settles")[1]
    row = re.search(
        r"Current of the pack, full power ([\d.]+) A ([\d.]+) A to ([\d.]+) A"
        r" ([\d.]+) A ([\d.]+) A to ([\d.]+) A",
        text,
    )
    _, low, high, now, settled_low, settled_high = map(float, row.groups())
    assert now == pytest.approx(30, rel=0.05)
    assert settled_high - settled_low < high - low


def test_air_asked_for_is_not_remembered(client, build):
    asked = {"elevation_m": "1500", "temperature_c": "30"}
    usual = text_of(client.get(address("power", build)))
    assert text_of(client.get(address("power", build), asked)) != usual
    assert text_of(client.get(address("power", build))) == usual


def test_a_wrong_reading_is_corrected_by_a_further_one(client, build):
    client.post(address("power_reading_add", build), READ | {"current_a": "44"})
    client.post(address("power_reading_add", build), READ)
    text = text_of(client.get(address("power", build)))
    assert "replaced by a newer one" in text
    assert PowerReading.objects.count() == 2
