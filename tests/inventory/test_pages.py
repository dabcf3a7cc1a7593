"""Pages of parts, data sheets, places, packs and the pool."""

from datetime import timedelta

import pytest
from django.utils import timezone

from hangar.clubs.models import Role
from inventory import operations
from inventory.kinds import DataSheet, Motor
from inventory.models import Claim, Condition, Loan, LogEntry, Offer, Part, Place
from tests.factories import (
    SHEET_FACTORIES,
    AirframeFactory,
    ClubFactory,
    FlightControllerFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    MotorFactory,
    OfferFactory,
    PackFactory,
    PartFactory,
    PlaceFactory,
    PropellerFactory,
    ServoFactory,
    UserFactory,
)

MOST_QUERIES = 12


@pytest.fixture
def client(client_of, user):
    return client_of(user)


@pytest.fixture
def part(user):
    return PartFactory(sheet=MotorFactory(person=user))


@pytest.fixture
def pack(user):
    return PartFactory(sheet=PackFactory(person=user))


def rows_of(answer):
    return [row.pk for row in answer.context["page"]]


# The list of parts


def test_the_list_shows_own_parts_and_no_others(client, part):
    PartFactory()
    assert rows_of(client.get("/parts/")) == [part.pk]


def test_the_list_is_found_by_every_word(client, user):
    wanted = PartFactory(sheet=ServoFactory(person=user, maker="Ivesdale", name="slim 12"))
    PartFactory(sheet=ServoFactory(person=user, maker="Ivesdale", name="wide 20"))
    assert rows_of(client.get("/parts/", {"q": "ivesdale slim"})) == [wanted.pk]


def test_the_list_is_narrowed_by_a_typed_figure_with_its_unit(client, user):
    strong = PartFactory(sheet=ServoFactory(person=user, torque_kgcm=2.4))
    PartFactory(sheet=ServoFactory(person=user, torque_kgcm=0.9))
    found = client.get("/parts/", {"kind": "servo", "torque_kgcm__gte": "2 kg cm"})
    assert rows_of(found) == [strong.pk]


def test_the_list_is_narrowed_by_measured_mass_before_that_of_the_sheet(client, user):
    sheet = MotorFactory(person=user, mass_g=30.0)
    heavy = PartFactory(sheet=sheet, mass_g=36.0)
    PartFactory(sheet=sheet)
    assert rows_of(client.get("/parts/", {"mass_min_g": "35"})) == [heavy.pk]


def test_a_place_finds_what_lies_inside_its_places(client, user):
    box = PlaceFactory(person=user)
    drawer = PlaceFactory(parent=box)
    inside = PartFactory(sheet=MotorFactory(person=user), place=drawer)
    PartFactory(sheet=MotorFactory(person=user))
    assert rows_of(client.get("/parts/", {"place": box.pk})) == [inside.pk]


def test_retired_parts_are_shown_only_when_asked_for(client, user):
    retired = PartFactory(sheet=MotorFactory(person=user), condition=Condition.RETIRED)
    assert rows_of(client.get("/parts/")) == []
    assert rows_of(client.get("/parts/", {"condition": "retired"})) == [retired.pk]


def test_parts_out_of_service_are_found(client, user, part):
    stopped = PartFactory(sheet=MotorFactory(person=user), out_of_service="bent")
    assert rows_of(client.get("/parts/", {"state": "stopped"})) == [stopped.pk]


def test_a_filter_that_cannot_be_read_shows_nothing_and_says_why(client, part):
    answer = client.get("/parts/", {"mass_min_g": "heavy"})
    assert answer.status_code == 400
    assert rows_of(answer) == []
    assert 'href="#filter_mass_min_g"' in answer.text
    assert 'value="heavy"' in answer.text


@pytest.mark.parametrize(
    "query",
    ["kind=none", "place=99999999999999999999", "place=x", "q=%00", "page=9e9", "page=-1",
     "owner=nobody", "page=" + "9" * 400, "kind=servo&torque_kgcm__gte=nan"],
)  # fmt: skip
def test_odd_addresses_never_break_the_list(client, part, query):
    assert client.get(f"/parts/?{query}").status_code in (200, 400)


@pytest.mark.parametrize("count", [2, 45])
def test_a_long_list_costs_no_more_queries(client, user, django_assert_max_num_queries, count):
    sheet = MotorFactory(person=user)
    PartFactory.create_batch(count, sheet=sheet, place=PlaceFactory(person=user))
    with django_assert_max_num_queries(7):
        client.get("/parts/?kind=motor")


def test_a_label_code_leads_to_its_part_however_it_is_typed(client, part):
    typed = f" {part.code[:3].lower()}-{part.code[3:]}"
    assert client.get("/parts/find/", {"code": typed}).url == f"/parts/{part.code}/"


def test_a_mistyped_label_code_says_what_is_wrong(client, part):
    other = "2" if part.code[0] != "2" else "3"
    answer = client.get("/parts/find/", {"code": other + part.code[1:]}, follow=True)
    assert "look again at the label" in answer.text


# One part


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_every_kind_of_part_has_its_page(client, user, kind, django_assert_max_num_queries):
    part = PartFactory(sheet=SHEET_FACTORIES[kind](person=user))
    with django_assert_max_num_queries(MOST_QUERIES):
        answer = client.get(f"/parts/{part.code}/")
    assert answer.status_code == 200


def test_a_part_that_one_may_not_see_is_not_there(client):
    assert client.get(f"/parts/{PartFactory().code}/").status_code == 404


def test_a_code_with_a_typing_error_is_not_there(client):
    assert client.get("/parts/2222223/").status_code == 404


def test_a_part_that_one_sees_but_does_not_own_cannot_be_changed(client, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    part = PartFactory(sheet=MotorFactory(club=club))
    assert client.get(f"/parts/{part.code}/").status_code == 200
    assert client.post(f"/parts/{part.code}/retire/").status_code == 403


def test_a_weighing_stands_beside_the_sheet_with_who_and_how(client, user):
    part = PartFactory(sheet=MotorFactory(person=user, mass_g=33.0))
    client.post(
        f"/parts/{part.code}/measure/",
        {"name": "mass_g", "value": "1,2 oz", "source": "weighed", "uncertainty": "0.1"},
    )
    part.refresh_from_db()
    # NIST SP 811 (2008), appendix B.8: ounce (avoirdupois) 28.349523125 g, exact.
    assert part.mass_g == pytest.approx(1.2 * 28.349523125, rel=1e-12)
    page = client.get(f"/parts/{part.code}/").text
    assert "33\u00a0g" in page
    assert "34.02\u00a0g" in page
    assert f"by {user}" in page


def test_a_measurement_of_another_unit_is_refused_at_its_box_and_kept(client, part):
    answer = client.post(
        f"/parts/{part.code}/measure/", {"name": "mass_g", "value": "33 mm", "source": "weighed"}
    )
    assert answer.status_code == 400
    assert 'value="33 mm"' in answer.text
    assert 'id="measure_value_error"' in answer.text
    assert not part.measurements.exists()


def test_a_list_of_pitches_can_be_measured(client, part):
    client.post(
        f"/parts/{part.code}/measure/",
        {"name": "hole_pattern_mm", "value": "16 19.5", "source": "measured"},
    )
    assert part.measurements.get().value == [16.0, 19.5]


def test_a_counter_of_a_pack_can_be_entered(client, pack):
    client.post(
        f"/parts/{pack.code}/measure/",
        {"name": "cycles_at_purchase", "value": "12", "source": "measured"},
    )
    assert pack.measurements.get().value == 12


# Adding and changing


def test_adding_starts_with_the_kind(client):
    assert "?kind=servo" in client.get("/parts/add/").text


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_a_part_with_its_new_sheet_is_added_in_one_go(client, user, kind):
    sent = {"sheet-name": "type 7", "mass_g": "12.5", "mass_source": "weighed",
            "condition": "good", "count": "1"}  # fmt: skip
    answer = client.post(f"/parts/add/?kind={kind}", sent)
    part = Part.objects.get()
    assert answer.url == f"/parts/{part.code}/"
    assert (part.kind, part.sheet.name, part.mass_g, part.person) == (kind, "type 7", 12.5, user)


def test_a_part_of_a_sheet_there_is_makes_no_new_one(client, user):
    sheet = MotorFactory(person=user)
    client.post(
        "/parts/add/?kind=motor",
        {"sheet": sheet.pk, "mass_source": "weighed", "condition": "good", "count": "1"},
    )
    assert Part.objects.get().sheet_id == sheet.pk
    assert DataSheet.objects.count() == 1


def test_a_bag_is_added_with_its_count(client, user):
    sheet = PropellerFactory(person=user)
    client.post(
        "/parts/add/?kind=propeller",
        {"sheet": sheet.pk, "mass_source": "weighed", "condition": "new", "count": "8",
         "is_bag": "on"},
    )  # fmt: skip
    assert Part.objects.get().count == 8


def test_a_count_of_a_single_thing_is_refused_at_its_box(client, user):
    sheet = MotorFactory(person=user)
    answer = client.post(
        "/parts/add/?kind=motor",
        {"sheet": sheet.pk, "mass_source": "weighed", "condition": "good", "count": "3"},
    )
    assert answer.status_code == 400
    assert 'id="id_count_error"' in answer.text
    assert not Part.objects.exists()


def test_a_wrong_figure_of_the_new_sheet_adds_neither_and_keeps_what_was_typed(client):
    answer = client.post(
        "/parts/add/?kind=motor",
        {"sheet-name": "type 7", "sheet-kv_rpm_v": "fast", "mass_source": "weighed",
         "condition": "good", "count": "1"},
    )  # fmt: skip
    assert answer.status_code == 400
    assert 'value="fast"' in answer.text
    assert 'id="id_sheet-kv_rpm_v_error"' in answer.text
    assert not Part.objects.exists()
    assert not DataSheet.objects.exists()


def test_a_refused_part_leaves_no_sheet_behind(client):
    answer = client.post(
        "/parts/add/?kind=motor",
        {"sheet-name": "type 7", "mass_g": "0", "mass_source": "weighed", "condition": "good",
         "count": "1"},
    )  # fmt: skip
    assert answer.status_code == 400
    assert not DataSheet.objects.exists()


def test_without_a_sheet_its_name_is_asked_for(client):
    answer = client.post(
        "/parts/add/?kind=motor", {"mass_source": "weighed", "condition": "good", "count": "1"}
    )
    assert answer.status_code == 400
    assert 'id="id_sheet-name_error"' in answer.text


def test_a_place_of_somebody_else_is_no_choice(client, user):
    sheet = MotorFactory(person=user)
    answer = client.post(
        "/parts/add/?kind=motor",
        {"sheet": sheet.pk, "mass_source": "weighed", "condition": "good", "count": "1",
         "place": PlaceFactory().pk},
    )  # fmt: skip
    assert answer.status_code == 400
    assert 'id="id_place_error"' in answer.text


def test_a_keeper_adds_to_the_pool_of_the_club(client, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club, role=Role.KEEPER)
    client.post(
        "/parts/add/?kind=motor",
        {"sheet-name": "type 7", "owner": club.slug, "mass_source": "weighed",
         "condition": "good", "count": "1"},
    )  # fmt: skip
    part = Part.objects.get()
    assert (part.club, part.person, part.sheet.club) == (club, None, club)


def test_a_member_adds_for_no_club(client, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    answer = client.post(
        "/parts/add/?kind=motor",
        {"sheet-name": "type 7", "owner": club.slug, "mass_source": "weighed",
         "condition": "good", "count": "1"},
    )  # fmt: skip
    assert answer.status_code == 400
    assert not Part.objects.exists()


def test_changing_a_part_leaves_a_line_in_its_history(client, part, user):
    drawer = PlaceFactory(person=user, name="Drawer 2")
    client.post(
        f"/parts/{part.code}/change/",
        {"name": "left one", "condition": "worn", "count": "1", "place": drawer.pk},
    )
    part.refresh_from_db()
    assert (part.name, part.condition, part.place) == ("left one", "worn", drawer)
    assert "Drawer 2" in part.events.get(verb="changed").text


# Sharing, lending, retiring


def test_a_part_is_offered_and_withdrawn(client, user, part):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    client.post(f"/parts/{part.code}/offer/", {"club": club.pk, "terms": "ask"})
    offer = Offer.objects.get()
    assert (offer.club, offer.terms) == (club, "ask")
    client.post(f"/offers/{offer.pk}/withdraw/")
    offer.refresh_from_db()
    assert offer.ended_at is not None


def test_offering_twice_is_told_at_the_form(client, user, part):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    OfferFactory(part=part, club=club)
    answer = client.post(f"/parts/{part.code}/offer/", {"club": club.pk, "terms": "ask"})
    assert answer.status_code == 400
    assert "offered to" in answer.text
    assert Offer.objects.count() == 1


def test_a_pooled_part_is_claimed_and_released(client, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    part = PartFactory(sheet=MotorFactory(club=club))
    client.post(f"/parts/{part.code}/claim/", {"purpose": "the blue wing", "until_on": ""})
    claim = Claim.objects.get()
    assert (claim.claimant, claim.purpose) == (user, "the blue wing")
    client.post(f"/claims/{claim.pk}/release/")
    claim.refresh_from_db()
    assert claim.ended_at is not None


def test_a_part_is_lent_to_a_member_and_taken_back(client, user, part):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    friend = MembershipFactory(club=club).user
    due_on = timezone.localdate() + timedelta(days=9)
    client.post(f"/parts/{part.code}/lend/", {"to": friend.pk, "due_on": due_on.isoformat()})
    loan = Loan.objects.get()
    assert (loan.borrower, loan.due_on) == (friend, due_on)
    client.post(f"/loans/{loan.pk}/return/", {"condition": "worn"})
    part.refresh_from_db()
    assert part.condition == "worn"


def test_a_stranger_is_nobody_to_lend_to(client, part):
    answer = client.post(f"/parts/{part.code}/lend/", {"to": UserFactory().pk})
    assert answer.status_code == 400
    assert 'id="id_to_error"' in answer.text
    assert not Loan.objects.exists()


def test_a_day_that_is_none_is_kept_in_its_box(client, user, part):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    friend = MembershipFactory(club=club).user
    answer = client.post(f"/parts/{part.code}/lend/", {"to": friend.pk, "due_on": "soon"})
    assert answer.status_code == 400
    assert 'value="soon"' in answer.text


def test_a_borrower_does_not_take_their_own_loan_back(client, user):
    loan = LoanFactory(part=PartFactory(), borrower=user)
    assert client.post(f"/loans/{loan.pk}/return/", {"condition": "good"}).status_code == 404


def test_a_lent_part_cannot_be_retired_and_the_form_says_so(client, user, part):
    LoanFactory(part=part)
    answer = client.post(f"/parts/{part.code}/retire/", {"reason": "worn out"})
    assert answer.status_code == 400
    assert "lent out" in answer.text
    assert 'value="worn out"' in answer.text


def test_a_part_leaves_service_and_comes_back_by_an_inspection(client, part):
    client.post(f"/parts/{part.code}/stop/", {"reason": "bent shaft"})
    page = client.get(f"/parts/{part.code}/").text
    assert "Out of service: bent shaft" in page
    short = client.post(f"/parts/{part.code}/inspect/", {"finding": "fine"})
    assert short.status_code == 400
    client.post(f"/parts/{part.code}/inspect/", {"finding": "New shaft fitted, runs true."})
    part.refresh_from_db()
    assert part.out_of_service == ""


# Data sheets


def test_sheets_are_listed_by_kind_with_how_many_parts(client, user, part):
    ServoFactory(person=user)
    answer = client.get("/sheets/", {"kind": "motor"})
    assert [(sheet.pk, sheet.part_count) for sheet in answer.context["page"]] == [
        (part.sheet_id, 1)
    ]


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_every_kind_of_sheet_is_shown_and_saved_unchanged(client, user, kind):
    sheet = SHEET_FACTORIES[kind](person=user)
    assert client.get(f"/sheets/{sheet.pk}/").status_code == 200
    form = client.get(f"/sheets/{sheet.pk}/change/").context["form"]
    sent = {name: "" if form[name].value() is None else form[name].value() for name in form.fields}
    answer = client.post(
        f"/sheets/{sheet.pk}/change/",
        {
            name: form.fields[name].prepare_value(value)
            for name, value in sent.items()
            if value is not False
        },
    )
    assert answer.status_code == 302, answer.context["form"].errors
    again = type(sheet).objects.get(pk=sheet.pk)
    for field in sheet._meta.fields:
        if field.name != "updated_at":
            assert getattr(again, field.name) == getattr(sheet, field.name), field.name


def test_a_sheet_is_written_by_name_alone(client, user):
    client.post("/sheets/add/motor/", {"name": "type 9"})
    assert Motor.objects.get().person == user


def test_a_new_sheet_of_no_kind_is_not_there(client):
    assert client.get("/sheets/add/teapot/").status_code == 404


def test_timer_groups_that_overlap_are_refused_at_their_box_and_kept(client, user):
    sheet = FlightControllerFactory(person=user)
    answer = client.post(
        f"/sheets/{sheet.pk}/change/", {"name": "board", "timer_groups": "1 2 / 2 3"}
    )
    assert answer.status_code == 400
    assert "1 2 / 2 3" in answer.text
    assert 'id="id_timer_groups_error"' in answer.text


def test_a_sheet_with_parts_stays(client, part):
    answer = client.post(f"/sheets/{part.sheet_id}/delete/", follow=True)
    assert "so it stays" in answer.text
    assert DataSheet.objects.filter(pk=part.sheet_id).exists()


def test_a_sheet_without_parts_is_deleted(client, user):
    sheet = MotorFactory(person=user)
    client.post(f"/sheets/{sheet.pk}/delete/")
    assert not DataSheet.objects.exists()


def test_a_sheet_seen_through_a_lent_part_cannot_be_changed(client, user):
    loan = LoanFactory(part=PartFactory(), borrower=user)
    assert client.get(f"/sheets/{loan.part.sheet_id}/").status_code == 200
    assert client.get(f"/sheets/{loan.part.sheet_id}/change/").status_code == 403


def _formset(rows, initial):
    sent = {"position-TOTAL_FORMS": len(rows), "position-INITIAL_FORMS": initial}
    for number, row in enumerate(rows):
        sent |= {f"position-{number}-{name}": value for name, value in row.items()}
    return sent


def test_positions_of_an_airframe_are_added_and_taken_out(client, user):
    sheet = AirframeFactory(
        person=user, template=[{"key": "motor", "name": "Motor", "kind": "motor", "x_mm": 250.0}]
    )
    client.post(
        f"/sheets/{sheet.pk}/positions/",
        _formset(
            [
                {"key": "motor", "name": "Motor", "kind": "motor", "DELETE": "on"},
                {"key": "tray", "name": "Pack tray", "kind": "pack", "x_mm": "2.5 in"},
                {"is_required": "on"},
            ],
            initial=1,
        ),
    )
    # NIST SP 811 (2008), appendix B.8: inch 25.4 mm, exact.
    assert [(p.key, p.x_mm) for p in sheet.template.all()] == [("tray", 63.5)]


def test_two_positions_of_one_short_name_change_nothing(client, user):
    sheet = AirframeFactory(
        person=user, template=[{"key": "motor", "name": "Motor", "kind": "motor", "x_mm": 250.0}]
    )
    row = {"key": "tray", "name": "Tray", "kind": "pack"}
    answer = client.post(f"/sheets/{sheet.pk}/positions/", _formset([row, row], initial=0))
    assert "Two positions have the short name tray" in answer.text
    assert [p.key for p in sheet.template.all()] == ["motor"]


def test_a_position_without_a_kind_is_refused_at_its_box(client, user):
    sheet = AirframeFactory(person=user)
    answer = client.post(
        f"/sheets/{sheet.pk}/positions/",
        _formset([{"key": "tray", "name": "Tray", "x_mm": "far"}], initial=0),
    )
    assert answer.status_code == 400
    assert 'id="id_position-0-kind_error"' in answer.text
    assert 'value="far"' in answer.text


# Places


def test_places_are_shown_as_a_tree(client, user):
    box = PlaceFactory(person=user, name="Blue box")
    PlaceFactory(parent=box, name="Left tray")
    page = client.get("/places/").text
    assert page.index("Blue box") < page.index("Left tray")


def test_a_place_is_added_inside_another(client, user):
    box = PlaceFactory(person=user)
    client.post("/places/", {"name": "Left tray", "parent": box.pk})
    assert Place.objects.get(name="Left tray").path.startswith(box.path)


def test_a_place_cannot_go_inside_itself(client, user):
    box = PlaceFactory(person=user)
    tray = PlaceFactory(parent=box)
    answer = client.post(f"/places/{box.pk}/", {"name": "Box", "parent": tray.pk})
    assert answer.status_code == 400
    assert 'id="id_parent_error"' in answer.text


def test_a_place_is_renamed(client, user):
    box = PlaceFactory(person=user)
    client.post(f"/places/{box.pk}/", {"name": "Red box", "parent": ""})
    box.refresh_from_db()
    assert box.name == "Red box"


def test_an_empty_place_is_removed(client, user):
    box = PlaceFactory(person=user)
    client.post(f"/places/{box.pk}/delete/")
    assert not Place.objects.exists()


def test_a_place_with_something_in_it_stays_and_says_so(client, user):
    box = PlaceFactory(person=user)
    PartFactory(sheet=MotorFactory(person=user), place=box)
    answer = client.post(f"/places/{box.pk}/delete/", follow=True)
    assert "empty it first" in answer.text
    assert Place.objects.exists()


# Packs


@pytest.mark.parametrize("packs", [1, 12])
def test_the_shelf_costs_the_same_for_many_packs(
    client, user, django_assert_max_num_queries, packs
):
    for _ in range(packs):
        pack = PartFactory(sheet=PackFactory(person=user))
        LogEntryFactory(pack=pack, by=user)
    with django_assert_max_num_queries(9):
        answer = client.get("/packs/")
    assert answer.status_code == 200
    with django_assert_max_num_queries(5):
        client.get("/packs/")


def test_the_shelf_is_sorted_as_asked(client, user):
    uses = {PartFactory(sheet=PackFactory(person=user)): number for number in (1, 3, 2)}
    for pack, number in uses.items():
        LogEntryFactory.create_batch(number, pack=pack, by=user)
    shown = client.get("/packs/?sort=cycles").context["page"]
    assert [one.report.cycles.counted for one in shown] == [3, 2, 1]


def test_the_worst_pack_comes_first(client, user, pack):
    worst = PartFactory(sheet=PackFactory(person=user))
    operations.take_out_of_service(worst, reason="puffed", by=user)
    assert [one.pack for one in client.get("/packs/").context["page"]] == [worst, pack]


def test_up_to_four_packs_stand_side_by_side(client, user):
    packs = [PartFactory(sheet=PackFactory(person=user)) for _ in range(5)]
    hidden = PartFactory(sheet=PackFactory())
    query = "&".join(f"compare={pack.code}" for pack in (hidden, *packs))
    answer = client.get(f"/packs/?{query}")
    assert [one.pack for one in answer.context["compared"]] == packs[:4]
    assert "the first 4 are shown" in answer.text


def test_a_pack_of_little_log_has_a_page_that_tells_no_capacity(client, pack):
    page = client.get(f"/packs/{pack.code}/").text
    assert "cannot tell yet" in page
    assert "ask your carrier" in page
    assert "It cannot see damage" in page


def test_a_pack_page_says_who_set_the_end_line(client, user, pack):
    operations.record_measurement(pack, name="end_line_percent", value=70, by=user)
    page = client.get(f"/packs/{pack.code}/").text
    assert "70 % of rated" in page
    assert f"set by {user}" in page


def test_what_is_no_pack_has_no_pack_page(client, part):
    assert client.get(f"/packs/{part.code}/").status_code == 404


def test_the_shelf_says_that_it_estimates_and_cannot_see_damage(client, pack):
    page = client.get("/packs/").text
    assert "It cannot see damage" in page
    assert "Stay with a charging pack" in page


def test_the_shelf_shows_why_a_pack_is_out_of_service(client, user):
    PartFactory(sheet=PackFactory(person=user), out_of_service="swollen")
    assert "out of service: swollen" in client.get("/packs/").text


@pytest.mark.parametrize(
    ("kind", "sent", "name", "value"),
    [
        ("use", {"charge_mah": "0.9 Ah"}, "charge_mah", 900.0),
        ("use", {"duration_min": "4.5"}, "duration_s", 270.0),
        ("charge", {"charge_mah": "910", "is_full": "on"}, "is_full", True),
        ("rest", {"rest_v": "3.84 3.85 3.84 3.85"}, "rest_v", [3.84, 3.85, 3.84, 3.85]),
        ("resistance", {"resistance_mohm": "6 6.5 6 7"}, "resistance_mohm", [6, 6.5, 6, 7]),
        ("storage", {"rest_v": "3.8 3.8 3.8 3.8"}, "rest_v", [3.8, 3.8, 3.8, 3.8]),
        ("inspection", {"note": "no swelling", "thickness_mm": "30.5"}, "thickness_mm", 30.5),
    ],
)
def test_an_entry_of_each_kind_is_logged(client, pack, kind, sent, name, value):
    answer = client.post(f"/packs/{pack.code}/log/?kind={kind}", sent)
    assert answer.status_code == 302
    entry = LogEntry.objects.get()
    assert (entry.kind, getattr(entry, name)) == (kind, value)


def test_an_incident_takes_the_pack_out_of_service(client, pack):
    client.post(f"/packs/{pack.code}/log/?kind=incident", {"incident": "swollen"})
    pack.refresh_from_db()
    assert pack.out_of_service == "swollen"


@pytest.mark.parametrize(
    ("kind", "sent", "box"),
    [
        ("use", {}, "charge_mah"),
        ("use", {"charge_mah": "900 mm"}, "charge_mah"),
        ("charge", {"duration_min": "50"}, "charge_mah"),
        ("rest", {"rest_v": "3.84 9.9"}, "rest_v"),
        ("rest", {"rest_v": ""}, "rest_v"),
        ("incident", {"incident": "sad"}, "incident"),
        ("use", {"charge_mah": "900", "temperature_c": "900"}, "temperature_c"),
        ("use", {"charge_mah": "900", "started_at": "noon"}, "started_at"),
    ],
)
def test_a_bad_entry_is_told_at_its_box_with_what_was_typed(client, pack, kind, sent, box):
    answer = client.post(f"/packs/{pack.code}/log/?kind={kind}", sent)
    assert answer.status_code == 400
    assert f'id="id_{box}_error"' in answer.text
    for typed in sent.values():
        assert typed in answer.text
    assert not LogEntry.objects.exists()


def test_an_entry_is_corrected_by_a_new_one_once(client, user, pack):
    entry = LogEntryFactory(pack=pack, by=user, kind="use", charge_mah=9000.0)
    address = f"/packs/{pack.code}/log/?corrects={entry.pk}"
    assert 'value="9000"' in client.get(address).text
    client.post(address, {"charge_mah": "900"})
    correction = LogEntry.objects.get(corrects=entry)
    assert correction.charge_mah == 900.0
    assert client.get(address).status_code == 404
    assert "corrected" in client.get(f"/packs/{pack.code}/log/").text


@pytest.mark.parametrize("text", ["x", "6f1c2a52-0d3b-4c8e-9a57-2b7e4c1d9f00", "%00"])
def test_what_is_no_entry_cannot_be_corrected(client, pack, text):
    assert client.get(f"/packs/{pack.code}/log/?corrects={text}").status_code == 404


def test_only_a_pack_has_a_log(client, part):
    assert client.get(f"/packs/{part.code}/log/").status_code == 404


@pytest.mark.parametrize("entries", [1, 60])
def test_a_long_log_costs_no_more_queries(
    client, user, pack, django_assert_max_num_queries, entries
):
    LogEntryFactory.create_batch(entries, pack=pack, by=user)
    with django_assert_max_num_queries(12):
        client.get(f"/packs/{pack.code}/log/")


# The pool


@pytest.fixture
def club(user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    return club


def test_the_pool_holds_what_the_club_owns_and_what_is_offered_to_it(client, club):
    owned = PartFactory(sheet=MotorFactory(club=club))
    offered = OfferFactory(part=PartFactory(), club=club).part
    PartFactory()
    assert sorted(rows_of(client.get("/pool/"))) == sorted([owned.pk, offered.pk])


def test_a_member_sees_that_a_part_is_lent_but_not_to_whom(client, club):
    part = PartFactory(sheet=MotorFactory(club=club))
    loan = LoanFactory(part=part, borrower=MembershipFactory(club=club).user)
    page = client.get("/pool/").text
    assert "lent out" in page
    assert str(loan.borrower) not in page


def test_a_keeper_sees_who_has_it_and_since_when_it_is_overdue(client_of, club):
    keeper = MembershipFactory(club=club, role=Role.KEEPER).user
    part = PartFactory(sheet=MotorFactory(club=club))
    due_on = timezone.localdate() - timedelta(days=2)
    loan = LoanFactory(part=part, borrower=MembershipFactory(club=club).user, due_on=due_on)
    page = client_of(keeper).get("/pool/").text
    assert str(loan.borrower) in page
    assert "overdue since" in page


@pytest.mark.parametrize("parts", [1, 30])
def test_a_big_pool_costs_no_more_queries(client, club, django_assert_max_num_queries, parts):
    for _ in range(parts):
        part = PartFactory(sheet=MotorFactory(club=club))
        LoanFactory(part=part)
        OfferFactory(part=PartFactory(), club=club)
    with django_assert_max_num_queries(MOST_QUERIES):
        client.get("/pool/")


def test_the_pool_of_who_is_in_no_club_says_so(client):
    assert "you are in none" in client.get("/pool/").text
