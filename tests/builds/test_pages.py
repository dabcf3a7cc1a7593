"""The pages of builds, as a person walks through them."""

import re

import pytest
from django.urls import reverse

from builds import operations
from builds.findings import book
from builds.models import Build, GroundChoice, Position
from tests.factories import (
    BuildFactory,
    ClubFactory,
    MembershipFactory,
    PositionFactory,
    UserFactory,
    member_of,
    part_of,
)

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    """A wing with most of its parts in, and its pack on hand."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return build


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def text_of(response):
    """What a page says: without tags, each white space one blank."""
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain)


def address(name, build, key=None):
    if key is None:
        return reverse(f"builds:{name}", args=[build.pk])
    return reverse(f"builds:{name}", args=[build.pk, build.positions.get(key=key).pk])


def fitted(build, key):
    return build.positions.get(key=key).fittings.open().first()


PAGES = (
    ("build_detail", None),
    ("build_change", None),
    ("build_history", None),
    ("position_add", None),
    ("position_detail", "motor"),
    ("position_detail", "pack"),
    ("position_change", "motor"),
)


@pytest.mark.parametrize(("name", "key"), PAGES)
def test_a_page_of_a_build_takes_twelve_queries_at_most(
    client, build, user, name, key, django_assert_max_num_queries
):
    for number in range(12):
        part_of("pack", user, mass_g=150.0 + number)
        part_of("motor", user, mass_g=30.0 + number)
    page = address(name, build, key)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(page).status_code == 200


@pytest.mark.parametrize("name", ["build_list", "build_add", "rule_list", "ground_gear"])
def test_a_page_beside_the_builds_takes_twelve_queries_at_most(
    client, build, name, django_assert_max_num_queries
):
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(reverse(f"builds:{name}")).status_code == 200


@pytest.mark.parametrize(("name", "key"), PAGES)
def test_nobody_else_gets_a_page_of_a_build(client_of, build, name, key):
    assert client_of(UserFactory()).get(address(name, build, key)).status_code == 404


@pytest.mark.parametrize(("name", "key"), PAGES)
def test_who_is_not_signed_in_is_sent_to_sign_in(client_of, build, name, key):
    assert client_of(None).get(address(name, build, key)).status_code == 302


@pytest.mark.parametrize(("name", "key"), PAGES)
def test_no_page_holds_script_or_style_of_its_own(client, build, name, key):
    page = client.get(address(name, build, key)).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)


def test_a_member_sees_a_clubs_build_and_may_not_change_it(client_of):
    club = ClubFactory()
    member = client_of(member_of(club))
    build = BuildFactory(club=club)
    shown = member.get(address("build_detail", build))
    assert shown.status_code == 200
    assert address("build_change", build) not in shown.content.decode()
    assert member.get(address("build_change", build)).status_code == 403
    assert member.post(address("position_clear", build, "airframe")).status_code == 403
    assert fitted(build, "airframe") is not None


def test_the_list_shows_own_builds_and_none_of_others(client, build):
    BuildFactory(name="Stranger")
    text = text_of(client.get(reverse("builds:build_list")))
    assert "Swift" in text
    assert "Stranger" not in text


def test_a_build_laid_up_moves_to_the_other_list(client, build, user):
    operations.change_build(build, by=user, is_archived=True)
    assert "Swift" not in text_of(client.get(reverse("builds:build_list")))
    assert "Swift" in text_of(client.get(reverse("builds:build_list"), {"laid-up": "1"}))


def test_makes_a_build_from_an_airframe_with_its_positions(client, user):
    airframe = part_of("airframe", user, sheet__template=True)
    client.post(reverse("builds:build_add"), {"name": "New wing", "airframe": airframe.pk})
    made = Build.objects.get(name="New wing")
    assert made.person == user
    assert made.positions.filter(key="motor").exists()


def test_offers_no_airframe_of_a_stranger(client, user):
    stranger = part_of("airframe", UserFactory())
    sent = client.post(reverse("builds:build_add"), {"name": "X", "airframe": stranger.pk})
    assert sent.status_code == 400
    assert not Build.objects.filter(name="X").exists()


def test_a_keeper_makes_a_build_for_the_club(client, user):
    club = MembershipFactory(user=user, role="keeper").club
    client.post(reverse("builds:build_add"), {"name": "Club wing", "owner": club.slug})
    assert Build.objects.get(name="Club wing").club == club


def test_the_build_page_shows_weight_balance_and_the_drawing(client, build):
    page = client.get(address("build_detail", build))
    text = text_of(page)
    # Airframe 158 g, nine parts of 10 g but the camera's, pack 155 g.
    assert "393 g" in text
    assert 'class="drawing plan"' in page.content.decode()
    assert 'class="drawing balance"' in page.content.decode()


def test_the_build_page_counts_the_checks_it_judged(client, build):
    text = text_of(client.get(address("build_detail", build)))
    assert re.search(r"\d+ of \d+ checks judged", text)


def test_a_build_without_a_mass_shows_a_lower_bound_and_what_is_missing(client, user):
    build = BuildFactory(person=user)
    text = text_of(client.get(address("build_detail", build)))
    assert "at least 158 g" in text
    assert "Motor: nothing fitted" in text


def test_another_pack_changes_the_weight_and_nothing_in_the_build(client, build, user):
    heavy = part_of("pack", user, mass_g=200.0)
    text = text_of(client.get(address("build_detail", build), {"pack": heavy.code}))
    assert "438 g" in text
    build.refresh_from_db()
    assert build.pack != heavy


def test_a_pack_that_is_not_on_hand_is_not_found(client, build):
    strange = part_of("pack", UserFactory())
    for code in (strange.code, "nonsense", "' OR 1=1"):
        assert client.get(address("build_detail", build), {"pack": code}).status_code == 404


def test_a_figure_opens_to_its_inputs_and_their_source(client, build):
    text = text_of(client.get(address("build_detail", build)))
    assert re.search(r"Motor \([^)]*\): mass \(g\) 10 g weighed", text)


def test_a_finding_says_what_to_do_and_links_to_its_rule(client, build, user):
    position = build.positions.get(key="controller")
    operations.remove_part(fitted(build, "controller"), by=user)
    weak = part_of("speed_controller", user, sheet__cells_min=1, sheet__cells_max=2)
    operations.fit_part(position, weak, by=user)
    page = client.get(address("build_detail", build))
    assert "What to do:" in text_of(page)
    assert f"{reverse('builds:rule_list')}#electrical.wrong_cell_count" in page.content.decode()


def test_the_build_page_warns_in_plain_words(client, build):
    text = text_of(client.get(address("build_detail", build)))
    assert "not a clearance to fly" in text
    assert "Propellers off" in text
    assert not re.search(r"\bsafe\b", text)


def test_changes_the_set_up_and_notes_it_as_a_revision(client, build):
    form = {"name": "Swift", "pack": build.pack_id, "pack_x_mm": "2.5 in", "servo_rate_hz": "50"}
    client.post(address("build_change", build), form)
    build.refresh_from_db()
    # The inch is 25.4 mm exactly, NIST SP 811, appendix B.8.
    assert build.pack_x_mm == pytest.approx(63.5)
    assert build.servo_rate_hz == 50.0
    assert "servo rate" in build.revisions.first().text


def test_a_pack_out_of_service_is_refused_at_its_box(client, build, user):
    pack = part_of("pack", user, out_of_service="swollen")
    sent = client.post(address("build_change", build), {"name": "Swift", "pack": pack.pk})
    assert sent.status_code == 400
    build.refresh_from_db()
    assert build.pack != pack


def test_nonsense_in_a_box_is_told_at_the_box_and_nothing_is_saved(client, build):
    sent = client.post(address("build_change", build), {"name": "Other", "pack_x_mm": "far"})
    assert sent.status_code == 400
    assert "Nothing was saved" in text_of(sent)
    build.refresh_from_db()
    assert build.name == "Swift"


def test_adds_a_position_and_makes_its_short_name(client, build):
    client.post(address("position_add", build), {"name": "Left lamp", "kind": "hardware"})
    assert build.positions.get(key="left-lamp").kind == "hardware"


def test_a_second_position_of_the_same_short_name_is_refused(client, build):
    form = {"key": "motor", "name": "Another", "kind": "motor"}
    sent = client.post(address("position_add", build), form)
    assert sent.status_code == 400
    assert build.positions.filter(key="motor").count() == 1


def test_moves_a_position(client, build):
    motor = build.positions.get(key="motor")
    form = {"key": "motor", "name": "Motor", "kind": "motor", "x_mm": "25.4 cm"}
    client.post(address("position_change", build, "motor"), form)
    motor.refresh_from_db()
    assert motor.x_mm == pytest.approx(254.0)


def test_removes_a_position_that_never_held_a_part(client, build):
    PositionFactory(build=build, key="spare")
    client.post(address("position_remove", build, "spare"))
    assert not build.positions.filter(key="spare").exists()


def test_a_position_with_a_history_stays_and_says_why(client, build):
    sent = client.post(address("position_remove", build, "motor"), follow=True)
    assert build.positions.filter(key="motor").exists()
    assert "has a history" in text_of(sent)


def test_fits_a_part_by_its_label_code_as_it_is_printed(client, build, user):
    camera = part_of("camera", user)
    printed = f"{camera.code[:3]}-{camera.code[3:]}".lower()
    client.post(address("position_fit", build, "camera"), {"part": printed})
    assert fitted(build, "camera").part == camera


def test_a_label_code_with_a_wrong_character_is_told_at_the_box(client, build, user):
    code = part_of("camera", user).code
    wrong = code[:-1] + ("2" if code[-1] != "2" else "3")
    sent = client.post(address("position_fit", build, "camera"), {"part": wrong})
    assert sent.status_code == 400
    assert "look again at the label" in text_of(sent)


def test_a_strangers_part_is_as_unknown_as_none(client, build):
    stranger = part_of("camera", UserFactory())
    sent = client.post(address("position_fit", build, "camera"), {"part": stranger.code})
    assert sent.status_code == 400
    assert "No part that you can see" in text_of(sent)


def test_swaps_a_part_for_another_in_one_step(client, build, user):
    old = fitted(build, "motor")
    new = part_of("motor", user, mass_g=33.0)
    form = {"part": new.code, "instead_of": old.pk}
    client.post(address("position_fit", build, "motor"), form)
    assert fitted(build, "motor").part == new
    old.refresh_from_db()
    assert old.removed_at is not None


def test_a_swap_that_fails_leaves_the_old_part_in(client, build, user):
    old = fitted(build, "motor")
    wrong_kind = part_of("servo", user)
    form = {"part": wrong_kind.code, "instead_of": old.pk}
    assert client.post(address("position_fit", build, "motor"), form).status_code == 400
    assert fitted(build, "motor") == old


def test_what_somebody_else_fitted_meanwhile_is_not_swapped_out(client, build, user):
    seen = fitted(build, "motor")
    operations.remove_part(seen, by=user)
    theirs = operations.fit_part(seen.position, part_of("motor", user), by=user)
    mine = part_of("motor", user)
    for instead_of in (seen.pk, ""):
        form = {"part": mine.code, "instead_of": instead_of}
        assert client.post(address("position_fit", build, "motor"), form).status_code == 400
    assert fitted(build, "motor") == theirs


def test_takes_a_part_out(client, build):
    client.post(address("position_clear", build, "motor"))
    assert fitted(build, "motor") is None


def test_taking_out_what_is_not_in_is_not_found(client, build):
    assert client.post(address("position_clear", build, "camera")).status_code == 404


def test_a_position_of_another_build_is_not_found(client, build, user):
    other = BuildFactory(person=user)
    foreign = other.positions.get(key="motor")
    page = reverse("builds:position_detail", args=[build.pk, foreign.pk])
    assert client.get(page).status_code == 404


def test_the_position_page_offers_spares_with_what_they_change(client, build, user):
    part_of("motor", user, mass_g=12.5, name="Lively")
    text = text_of(client.get(address("position_detail", build, "motor")))
    assert re.search(r"Lively .* The build: 2.5 g heavier", text)


def test_the_position_page_says_which_rule_threw_a_spare_out(client, build, user):
    part_of("speed_controller", user, name="Weak", sheet__cells_min=1, sheet__cells_max=2)
    page = client.get(address("position_detail", build, "controller"))
    assert "1 falls out, and why" in text_of(page)
    assert "electrical.wrong_cell_count" in page.content.decode()


def test_every_rule_is_in_the_book_with_its_source(client):
    page = client.get(reverse("builds:rule_list")).content.decode()
    missing = [rule.id for rule in book if f'id="{rule.id}"' not in page]
    assert len(book) > 0
    assert missing == []


def test_names_ones_ground_gear_and_forgets_it(client, user):
    radio = part_of("ground_gear", user)
    page = reverse("builds:ground_gear")
    client.post(page, {"transmitter": radio.code})
    assert GroundChoice.objects.get(person=user).part == radio
    client.post(page, {"transmitter": ""})
    assert not GroundChoice.objects.filter(person=user).exists()


def test_ground_gear_of_a_stranger_is_refused(client, user):
    radio = part_of("ground_gear", UserFactory())
    sent = client.post(reverse("builds:ground_gear"), {"transmitter": radio.code})
    assert sent.status_code == 400
    assert not GroundChoice.objects.filter(person=user).exists()


def test_a_build_without_a_place_for_the_pack_still_shows_it(client, user):
    build = BuildFactory(person=user, airframe=None)
    operations.change_build(build, by=user, pack=part_of("pack", user, mass_g=155.0))
    Position.objects.filter(build=build, kind="pack").delete()
    page = client.get(address("build_detail", build))
    assert page.status_code == 200
    assert "no position of its own" in text_of(page)


def test_masses_are_shown_in_the_unit_that_the_person_reads(client, build, user):
    user.mass_unit = "oz"
    user.save()
    # 393 g at 28.349523125 g to the ounce, NIST SP 811, appendix B.8.
    assert "13.86 oz" in text_of(client.get(address("build_detail", build)))
