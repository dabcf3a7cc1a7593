"""From a list to parts: previewed row by row, imported whole or not at all, and only once."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from hangar.clubs.models import Role
from hangar.errors import Conflict, Missing, NotAllowed
from inventory import operations
from inventory.imports import applying
from inventory.imports.matching import Matching
from inventory.imports.models import ColumnMatching, ImportRun
from inventory.imports.plans import Outcome, RowsRefused
from inventory.imports.table import ImportProblem
from inventory.kinds import DataSheet
from inventory.models import Measurement, Part, Place
from inventory.operations import save_place
from tests.factories import ClubFactory, MotorFactory, UserFactory, keeper_of, member_of, part_of
from tests.inventory.imports.lists import (
    PART_COUNT,
    PARTS,
    SHEET_COUNT,
    comma_list,
    ods_list,
    semicolon_list,
    tab_list,
    xlsx_list,
)

pytestmark = pytest.mark.django_db

SHAPES = {"semicolons": semicolon_list, "tabs": tab_list, "xlsx": xlsx_list, "ods": ods_list}


def listed(user, text, club=None, **matching):
    data = text.encode() if isinstance(text, str) else text
    run = applying.read_list(
        by=user, person=None if club else user, club=club, file_name="parts.csv", data=data
    )
    run.matching |= matching
    return run


def plan(user, text, **more):
    return applying.plan_of(listed(user, text, **more))


def imported(user, text, **more):
    return applying.import_at_once(listed(user, text, **more))


def what(user):
    """What a person's parts are, whatever list they came from."""
    parts = Part.objects.filter(person=user).select_related("sheet", "place").order_by("pk")
    return [
        (part.kind, str(part.sheet), part.mass_g and round(part.mass_g, 6), part.count,
         part.condition, str(part.place or ""))
        for part in parts
    ]  # fmt: skip


# Three shapes of one list


@pytest.mark.parametrize("shape", SHAPES)
def test_a_list_of_twenty_parts_is_imported(user, shape):
    imported(user, SHAPES[shape]())
    assert Part.objects.filter(person=user).count() == PART_COUNT
    assert DataSheet.objects.filter(person=user).count() == SHEET_COUNT


@pytest.mark.parametrize("shape", ["tabs", "xlsx", "ods"])
def test_every_shape_gives_the_same_parts(user, shape):
    other = UserFactory()
    imported(user, semicolon_list())
    imported(other, SHAPES[shape]())
    assert what(other) == what(user)


def test_every_mass_of_the_list_is_weighed_and_measured(user):
    imported(user, semicolon_list())
    first = Part.objects.filter(person=user).order_by("pk")[0]
    assert (first.mass_g, first.mass_source) == (33.6, "weighed")
    assert list(first.measurements.values_list("name", "value", "by")) == [
        ("mass_g", 33.6, user.pk)
    ]
    weighed = Measurement.objects.filter(part__person=user).count()
    assert weighed == PART_COUNT - sum(row[3] == "" for row in PARTS)


def test_a_part_tells_from_which_row_it_came(user):
    imported(user, semicolon_list())
    first = Part.objects.filter(person=user).order_by("pk")[0]
    assert "from parts.csv, row 2" in first.events.get(verb="added").text


def test_typed_columns_reach_the_data_sheet(user):
    imported(user, semicolon_list())
    assert DataSheet.objects.get(person=user, name="T2306").typed.kv_rpm_v == 1900
    pack = DataSheet.objects.get(person=user, name="P1300").typed
    assert (pack.cell_count, pack.capacity_mah, pack.length_mm) == (4, 1300.0, 78.0)


def test_a_bag_has_a_count_and_single_things_are_parts_of_their_own(user):
    imported(user, semicolon_list())
    mine = Part.objects.filter(person=user)
    assert list(mine.filter(kind="propeller").values_list("is_bag", "count")) == [(True, 12)]
    assert list(mine.filter(kind="servo").values_list("is_bag", "count")) == [(False, 1)] * 4


# Once, and once only


@pytest.mark.parametrize("shape", SHAPES)
def test_the_same_list_again_adds_nothing(user, shape):
    imported(user, SHAPES[shape]())
    again = imported(user, SHAPES[shape]())
    assert Part.objects.filter(person=user).count() == PART_COUNT
    assert again.counts["rows_imported_before"] == len(PARTS)
    assert again.counts["parts"] == again.counts["sheets"] == 0


def test_the_same_list_from_another_program_adds_nothing(user):
    rows = [("Kind", "Name", "Mass (g)"), ("servo", "S9", 9.5), ("servo", "S10", 10)]
    imported(user, xlsx_list(rows))
    done = imported(user, "name;kind;mass (G)\nS9;servo;9,50\nS10;servo;10,0\n")
    assert done.counts["rows_imported_before"] == 2


def test_a_longer_list_adds_what_is_new(user):
    imported(user, "kind,name\nservo,S9\n")
    assert imported(user, "kind,name\nservo,S9\nservo,S10\n").counts["parts"] == 1


def test_two_equal_rows_are_two_parts_and_a_third_adds_one(user):
    assert imported(user, "kind,name\nservo,S9\nservo,S9\n").counts["parts"] == 2
    assert imported(user, "kind,name\nservo,S9\nservo,S9\nservo,S9\n").counts["parts"] == 1


def test_another_person_imports_the_same_list_for_themselves(user):
    imported(user, semicolon_list())
    assert imported(UserFactory(), semicolon_list()).counts["parts"] == PART_COUNT


def test_a_column_that_is_no_field_does_not_make_another_row(user):
    text = "kind,name,shelf life\nservo,S9,{}\n"
    columns = {"kind": "kind", "name": "name"}
    imported(user, text.format(1), columns=columns, units={})
    assert imported(user, text.format(2), columns=columns, units={}).counts["parts"] == 0


# All or nothing

BAD = (
    "kind,name,mass (g),count,condition,since,cells\n"
    "servo,S9,9,1,good,2025-03-18,\n"
    "servo,S9,heavy,1,good,,\n"
    "boat,B1,9,many,good,,\n"
    "servo,,9,1,shiny,tomorrow,\n"
    "pack,P,100,1,good,,99S\n"
    "servo,S9,0,1,good,,\n"
)


def test_wrong_rows_are_named_by_row_column_and_reason(user):
    found = {(one.row, one.column) for one in plan(user, BAD).problems}
    assert found == {
        (3, "mass (g)"), (4, "kind"), (4, "count"), (5, "name"), (5, "condition"), (5, "since"),
        (6, "cells"), (7, "mass (g)"),
    }  # fmt: skip


def test_one_wrong_row_keeps_all_out(user):
    with pytest.raises(RowsRefused, match="Row 3, column “mass \\(g\\)”"):
        imported(user, BAD)
    assert not Part.objects.exists()
    assert not DataSheet.objects.exists()
    assert not ImportRun.objects.exists()


def test_a_refusal_while_adding_takes_everything_back(user, monkeypatch):
    # The last step of an import fails, as it would when the database goes away.
    monkeypatch.setattr(applying, "_close", lambda *_: (_ for _ in ()).throw(ImportProblem("no")))
    with pytest.raises(ImportProblem):
        imported(user, semicolon_list())
    assert not Part.objects.exists()
    assert not Place.objects.exists()


def test_a_preview_stores_nothing(user):
    assert plan(user, semicolon_list()).counts["parts"] == PART_COUNT
    assert not Part.objects.exists()
    assert not ImportRun.objects.exists()


# What becomes of a row


def test_a_part_joins_the_data_sheet_of_the_same_maker_and_name(user):
    sheet = MotorFactory(person=user, maker="Tarrowden", name="T2306", kv_rpm_v=1900.0)
    row = plan(user, "kind,maker,name,kv\nmotor,tarrowden,t2306,1900\n").rows[0]
    assert row.outcome == Outcome.KNOWN_SHEET
    assert row.sheet.existing.pk == sheet.pk


def test_a_contradicting_value_makes_a_second_sheet_and_says_so(user):
    MotorFactory(person=user, maker="Tarrowden", name="T2306", kv_rpm_v=1900.0)
    row = plan(user, "kind,maker,name,kv\nmotor,Tarrowden,T2306,2400\n").rows[0]
    assert row.outcome == Outcome.NEW_SHEET
    assert "another kv" in row.notes[0]


def test_a_sheet_that_is_there_stays_as_it_is_and_the_preview_says_so(user):
    sheet = MotorFactory(person=user, maker="Tarrowden", name="T2306", shaft_diameter_mm=None)
    text = "kind,maker,name,shaft_diameter_mm\nmotor,Tarrowden,T2306,5\n"
    assert "has no shaft diameter" in plan(user, text).rows[0].notes[0]
    imported(user, text)
    sheet.refresh_from_db()
    assert sheet.shaft_diameter_mm is None


def test_another_persons_data_sheet_is_not_used(user):
    MotorFactory(maker="Tarrowden", name="T2306")
    row = plan(user, "kind,maker,name\nmotor,Tarrowden,T2306\n").rows[0]
    assert row.outcome == Outcome.NEW_SHEET


def test_rows_of_one_list_complete_their_data_sheet(user):
    imported(user, "kind,name,kv,length\nmotor,T1,1900,\nmotor,T1,,30\n")
    sheet = DataSheet.objects.get(person=user).typed
    assert (sheet.kv_rpm_v, sheet.length_mm) == (1900.0, 30.0)


def test_a_column_that_a_kind_has_not_is_told(user):
    row = plan(user, "kind,name,kv\nservo,S9,1900\n").rows[0]
    assert row.notes == ("“kv” is left out: no column of servo.",)


def test_a_count_of_nought_adds_nothing(user):
    row = plan(user, "kind,name,count\nservo,S9,0\n").rows[0]
    assert row.outcome == Outcome.LEFT_OUT


def test_a_list_whose_headings_were_renamed_adds_nothing(user):
    imported(user, "Name,Kind,Weight (g),Notes\nS10,servo,9.1,spare\n")
    columns = {"Thing": "name", "What": "kind", "Scale": "mass_g", "Said": "notes"}
    text = "Thing,What,Scale,Said\nS10,servo,9.10,spare\n"
    run = listed(user, text, columns=columns, units={"Scale": "g"})
    assert applying.plan_of(run).counts["rows_imported_before"] == 1


def test_a_row_of_another_mass_is_another_row(user):
    imported(user, "Name,Kind,Weight (g)\nS10,servo,9.1\n")
    assert plan(user, "Name,Kind,Weight (g)\nS10,servo,9.2\n").counts["rows_adding"] == 1


def test_a_point_before_three_digits_is_asked_about_where_decimals_have_commas(user):
    text = "Art;Name;Gewicht;Kapazität\nAkku;P;158,5;1.300\n"
    problem = plan(user, text).problems[0]
    assert (problem.column, "1300 or 1,300" in problem.reason) == ("Kapazität", True)


def test_one_kind_for_a_list_without_a_column_of_kinds(user):
    done = imported(user, "name,weight\nS9,9\n", kind="servo")
    assert Part.objects.get(person=user).kind == "servo"
    assert done.matching["kind"] == "servo"


def test_notes_of_several_columns_keep_their_headers(user):
    columns = {"kind": "kind", "name": "name", "shop": "notes", "remark": "notes"}
    imported(user, "kind,name,shop,remark\nservo,S9,corner,=old\n", columns=columns)
    assert Part.objects.get(person=user).notes == "shop: corner\nremark: =old"


def test_a_day_and_a_name_of_its_own_are_kept(user):
    imported(user, "kind,name,own name,since\npack,P1300,Red one,18.3.2025\n")
    part = Part.objects.get(person=user)
    assert (part.name, part.acquired_on) == ("Red one", date(2025, 3, 18))


def test_a_guessed_mass_is_kept_as_a_guess(user):
    imported(user, "kind,name,estimated weight\nservo,S9,9\n")
    assert Part.objects.get(person=user).mass_source == "guessed"


def test_the_makers_mass_goes_to_the_data_sheet(user):
    imported(user, "kind,name,rated weight oz\nservo,S9,1\n")
    part = Part.objects.select_related("sheet").get(person=user)
    assert part.mass_g is None
    # NIST SP 811 (2008), Appendix B.8
    assert part.sheet.mass_g == pytest.approx(28.349523125, rel=1e-12)


# Label codes


def test_a_label_code_that_was_printed_ahead_is_kept(user):
    code = Part(sheet_id=1).code
    imported(user, f"label code,kind,name\n{code[:3]}-{code[3:]},servo,S9\n")
    assert Part.objects.get(person=user).code == code


def test_a_part_with_this_label_code_is_left_out(user):
    code = part_of("servo", user).code
    row = plan(user, f"label code,kind,name\n{code},servo,S9\n").rows[0]
    assert row.outcome == Outcome.LEFT_OUT


def test_a_label_code_of_somebody_else_is_refused(user):
    code = part_of("servo", UserFactory()).code
    problem = plan(user, f"label code,kind,name\n{code},servo,S9\n").problems[0]
    assert problem.column == "label code"


def test_a_label_code_is_given_once(user):
    code = Part(sheet_id=1).code
    text = f"label code,kind,name\n{code},servo,S9\n{code},servo,S10\n"
    assert plan(user, text).problems[0].reason == "Row 2 has this label code already."


def test_a_code_drawn_twice_or_taken_is_drawn_again(user, monkeypatch):
    taken = part_of("servo", user).code
    # Chance alone repeats a code once in thousands of parts; here it does at once.
    drawn = iter([taken, "AAA", "AAA", taken, "BBB", "BBB"])
    monkeypatch.setattr(operations.parts, "new_code", lambda: next(drawn))
    imported(user, "kind,name\nservo,S9\nservo,S10\n")
    codes = Part.objects.filter(sheet__name__in=["S9", "S10"]).values_list("code", flat=True)
    assert set(codes) == {"AAA", "BBB"}


# Places


def test_places_are_found_by_name_and_by_path_and_made_where_they_are_missing(user):
    shop = save_place(Place(person=user, name="Workshop"), by=user)
    box = save_place(Place(person=user, name="Box 1", parent=shop), by=user)
    imported(
        user,
        "kind,name,place\nservo,a,box 1\nservo,b,Workshop > Box 1\nservo,c,Workshop > Box 2\n"
        "servo,d,Shelf\n",
    )
    places = [part.place for part in Part.objects.filter(person=user).order_by("pk")]
    assert places[:2] == [box, box]
    assert (places[2].name, places[2].parent) == ("Box 2", shop)
    assert (places[3].name, places[3].parent) == ("Shelf", None)
    assert Place.objects.count() == 4


def test_a_name_that_two_places_have_is_asked_about(user):
    for name in ("Workshop", "Cellar"):
        outer = save_place(Place(person=user, name=name), by=user)
        save_place(Place(person=user, name="Box 1", parent=outer), by=user)
    problem = plan(user, "kind,name,place\nservo,a,Box 1\n").problems[0]
    assert "2 places of this name" in problem.reason


def test_another_persons_place_is_not_used(user):
    other = UserFactory()
    theirs = save_place(Place(person=other, name="Box 1"), by=other)
    imported(user, "kind,name,place\nservo,a,Box 1\n")
    place = Part.objects.get(person=user).place
    assert place.pk != theirs.pk
    assert place.person == user


# Whose parts


def test_a_keeper_imports_for_the_club(user):
    club = ClubFactory()
    keeper = keeper_of(club)
    imported(keeper, semicolon_list(), club=club)
    assert Part.objects.filter(club=club).count() == PART_COUNT
    assert not Part.objects.filter(person=keeper).exists()


def test_two_keepers_import_a_clubs_list_once():
    club = ClubFactory()
    imported(keeper_of(club), semicolon_list(), club=club)
    assert imported(member_of(club, Role.OFFICER), semicolon_list(), club=club).counts["parts"] == 0


def test_a_member_does_not_import_for_the_club():
    club = ClubFactory()
    with pytest.raises(NotAllowed):
        listed(member_of(club), semicolon_list(), club=club)


def test_who_keeps_the_club_no_more_cannot_finish_the_import():
    club = ClubFactory()
    keeper = keeper_of(club)
    run = applying.keep_list(listed(keeper, semicolon_list(), club=club))
    keeper.memberships.update(role=Role.MEMBER)
    with pytest.raises(NotAllowed):
        applying.import_list(run, by=keeper)


# Lists on their way


def test_a_list_is_imported_once(user):
    run = applying.keep_list(listed(user, semicolon_list()))
    applying.import_list(run, by=user)
    with pytest.raises(Conflict):
        applying.import_list(run, by=user)


def test_an_imported_list_is_kept_without_its_rows(user):
    run = imported(user, semicolon_list())
    run.refresh_from_db()
    assert run.table == {}
    assert run.imported_rows.count() == len(PARTS)


def test_somebody_elses_list_is_not_there(user):
    run = applying.keep_list(listed(user, semicolon_list()))
    for act in (applying.import_list, applying.discard_list):
        with pytest.raises(Missing):
            act(run, by=UserFactory())


def test_a_discarded_list_is_gone(user):
    run = applying.keep_list(listed(user, semicolon_list()))
    applying.discard_list(run, by=user)
    assert not ImportRun.objects.exists()


def test_an_imported_list_cannot_be_discarded(user):
    run = imported(user, semicolon_list())
    with pytest.raises(Conflict):
        applying.discard_list(run, by=user)


def test_lists_that_wait_are_bounded_in_number(user):
    for _ in range(applying.OPEN_MAX):
        applying.keep_list(listed(user, "kind,name\nservo,S9\n"))
    with pytest.raises(Conflict):
        applying.keep_list(listed(user, "kind,name\nservo,S9\n"))


def test_the_matching_is_remembered_for_the_same_columns(user):
    columns = {"What": "kind", "Thing": "name"}
    imported(user, "What,Thing\nservo,S9\n", columns=columns)
    again = listed(user, "Thing,What\nS10,servo\n")
    assert Matching.from_json(again.matching).columns == columns
    assert ColumnMatching.objects.count() == 1


def test_a_remembered_matching_is_its_owners(user):
    imported(user, "What,Thing\nservo,S9\n", columns={"What": "kind", "Thing": "name"})
    assert listed(UserFactory(), "What,Thing\nservo,S9\n").matching["columns"] == {}


# Long lists


def queries_of(user, rows):
    text = comma_list([("kind", "name", "mass", "place"), *rows])
    with CaptureQueriesContext(connection) as found:
        imported(user, text)
    return len(found)


def test_rows_are_written_in_batches(user):
    few = [("servo", "S9", 9 + number / 100, "Box") for number in range(10)]
    many = [("servo", "S9", 9 + number / 100, "Box") for number in range(110)]
    # A hundred rows more: SQLite takes 999 values in one query, so a few batches more.
    assert queries_of(UserFactory(), many) - queries_of(user, few) <= 8
