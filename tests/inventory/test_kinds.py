"""The kinds of part: what each asks for, and what its columns refuse."""

import math

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, models, transaction
from django.forms import modelform_factory

from hangar.fields import CountField, MeasureField, NumberListField, WordListField
from inventory.kinds import Airframe, DataSheet, Motor, TemplatePosition, kind_choices
from inventory.kinds.shapes import StationsField, TimerGroupsField
from tests.factories import SHEET_FACTORIES, ClubFactory, MotorFactory, UserFactory

KINDS = sorted(DataSheet.registry)
# Whole numbers that are neither a count nor a range of cells.
OTHER_WHOLE_NUMBERS = {
    "link_version", "compass_address", "bus_address", "spline_teeth", "arm_spline_teeth",
    "cells_min", "cells_max",
}  # fmt: skip
YES_OR_NO = ("is_", "has_", "can_", "accepts_", "needs_")
# Columns of the row itself, not of the thing.
ROW = {"id", "datasheet_ptr", "person", "club", "kind", "created_at", "updated_at"}

each_kind = pytest.mark.parametrize("kind", KINDS)


def columns_of(kind, of_class=models.Field):
    return [
        field
        for field in DataSheet.registry[kind]._meta.fields
        if field.name not in ROW and isinstance(field, of_class)
    ]


def form_of(kind):
    names = [field.name for field in columns_of(kind)]
    return modelform_factory(DataSheet.registry[kind], fields=names)


def write_past_django(sheet, field, value):
    """Write one column by a bare UPDATE, without what models and forms check."""
    table = field.model._meta.db_table
    key = field.model._meta.pk.column
    quoted = connection.ops.quote_name
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            f"UPDATE {quoted(table)} SET {quoted(field.column)} = %s WHERE {quoted(key)} = %s",
            [value, sheet.pk],
        )


def is_refused(sheet, field, value):
    try:
        write_past_django(sheet, field, value)
    except DatabaseError:
        return True
    return False


def test_every_kind_has_a_factory():
    assert set(SHEET_FACTORIES) == set(KINDS)


def test_choices_are_the_kinds():
    assert dict(kind_choices()) == {kind: sheet.label for kind, sheet in DataSheet.registry.items()}


@each_kind
def test_a_kind_names_itself(kind):
    sheet = DataSheet.registry[kind]
    assert sheet.kind_name == kind
    assert sheet.label
    assert sheet.label_plural


@each_kind
def test_every_column_carries_a_unit_or_is_a_count_or_a_word(kind):
    unclear = [field.name for field in columns_of(kind) if not is_clear(field)]
    assert unclear == []


def is_clear(field):
    if isinstance(field, MeasureField | NumberListField):
        return field.unit is not None or field.name.endswith(("_coefficient", "_ratio"))
    if isinstance(field, models.BooleanField):
        return field.name.startswith(YES_OR_NO)
    if isinstance(field, models.IntegerField):
        return field.name.endswith("_count") or field.name in OTHER_WHOLE_NUMBERS
    words = models.CharField | models.TextField
    return isinstance(field, words | WordListField | StationsField | TimerGroupsField)


@each_kind
def test_only_the_name_is_asked_for(kind):
    form = form_of(kind)
    assert [name for name, field in form().fields.items() if field.required] == ["name"]


@pytest.mark.django_db
@each_kind
def test_a_name_alone_makes_a_sheet(kind, user):
    form = form_of(kind)({"name": "found in a drawer"})
    form.instance.person = user
    assert form.errors == {}
    sheet = form.save()
    assert DataSheet.objects.get(pk=sheet.pk).kind == kind


@pytest.mark.django_db
@each_kind
def test_a_form_shows_again_what_was_stored(kind, user):
    sheet = SHEET_FACTORIES[kind](person=user)
    shown = form_of(kind)(instance=sheet)
    data = {name: shown[name].value() for name in shown.fields if shown[name].value() is not None}
    data = {
        name: shown.fields[name].prepare_value(value)
        for name, value in data.items()
        if value is not False
    }
    again = form_of(kind)(data, instance=type(sheet).objects.get(pk=sheet.pk))
    assert again.errors == {}
    before = {field.name: getattr(sheet, field.name) for field in columns_of(kind)}
    saved = again.save()
    saved.refresh_from_db()
    assert {field.name: getattr(saved, field.name) for field in columns_of(kind)} == before


@pytest.mark.django_db
@each_kind
def test_a_form_refuses_a_measure_out_of_its_bounds_at_that_measure(kind):
    for field in columns_of(kind, MeasureField):
        above = field.maximum * 2 + 1
        form = form_of(kind)({"name": "wild", field.name: f"{above:.0f}"})
        assert set(form.errors) == {field.name}
        if field.minimum is not None:
            form = form_of(kind)({"name": "wild", field.name: f"{field.minimum - 1:g}"})
            assert set(form.errors) == {field.name}


@pytest.mark.django_db
@each_kind
def test_the_database_refuses_a_measure_below_its_bound(kind):
    sheet = SHEET_FACTORIES[kind]()
    bounded = [field for field in columns_of(kind, MeasureField) if field.minimum is not None]
    assert bounded
    accepted = [f.name for f in bounded if not is_refused(sheet, f, f.minimum - 1)]
    assert accepted == []


@pytest.mark.django_db
@each_kind
@pytest.mark.parametrize("excess", [1.0, 1e12, math.inf])
def test_the_database_refuses_a_measure_above_its_bound(kind, excess):
    sheet = SHEET_FACTORIES[kind]()
    measures = columns_of(kind, MeasureField)
    accepted = [f.name for f in measures if not is_refused(sheet, f, f.maximum + excess)]
    assert accepted == []


@pytest.mark.django_db
@each_kind
def test_the_database_takes_a_measure_at_its_bounds_and_an_unknown_one(kind):
    sheet = SHEET_FACTORIES[kind]()
    for field in columns_of(kind, MeasureField):
        assert not is_refused(sheet, field, field.maximum)
        assert field.minimum is None or not is_refused(sheet, field, field.minimum)
        assert not is_refused(sheet, field, None)


@pytest.mark.django_db
@each_kind
@pytest.mark.parametrize("value", [-1, 1001, 30_000, 9_000_000_000])
def test_the_database_refuses_a_count_below_zero_and_beyond_all_reason(kind, value):
    sheet = SHEET_FACTORIES[kind]()
    accepted = [f.name for f in columns_of(kind, CountField) if not is_refused(sheet, f, value)]
    assert accepted == []


@each_kind
def test_every_whole_number_has_a_bound(kind):
    whole = columns_of(kind, models.IntegerField)
    assert [field.name for field in whole if not isinstance(field, CountField)] == []


@pytest.mark.django_db
@each_kind
def test_a_form_refuses_a_count_beyond_all_reason(kind):
    for field in columns_of(kind, CountField):
        form = form_of(kind)({"name": "wild", field.name: "1001"})
        assert set(form.errors) == {field.name}


@pytest.mark.django_db
@each_kind
def test_the_database_refuses_two_owners_and_none(kind):
    sheet = SHEET_FACTORIES[kind]()
    person = DataSheet._meta.get_field("person")
    club = DataSheet._meta.get_field("club")
    assert is_refused(sheet, person, None)
    assert is_refused(sheet, club, ClubFactory().pk)


@pytest.mark.django_db
def test_a_sheet_is_stored_under_the_kind_of_its_class(user):
    motor = Motor(person=user, name="any", kind="servo")
    motor.save()
    assert DataSheet.objects.get(pk=motor.pk).kind == "motor"


@pytest.mark.django_db
def test_all_kinds_are_read_with_their_columns_in_one_query(django_assert_num_queries):
    made = {kind: SHEET_FACTORIES[kind]() for kind in KINDS}
    with django_assert_num_queries(1):
        read = {sheet.kind: sheet.typed for sheet in DataSheet.objects.typed()}
        assert {kind: type(sheet) for kind, sheet in read.items()} == {
            kind: type(sheet) for kind, sheet in made.items()
        }


@pytest.mark.django_db
def test_a_positions_key_is_unique_in_its_airframe(user):
    frame = SHEET_FACTORIES["airframe"](person=user, template=True)
    with pytest.raises(DatabaseError), transaction.atomic():
        TemplatePosition.objects.create(airframe=frame, key="motor", name="again", kind="motor")


# Wing stations and timer groups


@pytest.mark.parametrize(
    "stations",
    [
        "text",
        [{"y_mm": 0}],
        [{"y_mm": 0, "leading_edge_x_mm": 0, "chord_mm": 190, "z_mm": 0}],
        [
            {"y_mm": 0, "leading_edge_x_mm": 0, "chord_mm": 190, "z_mm": 0},
            {"y_mm": 0, "leading_edge_x_mm": 9, "chord_mm": 110, "z_mm": 0},
        ],
        [
            {"y_mm": 0, "leading_edge_x_mm": 0, "chord_mm": 0, "z_mm": 0},
            {"y_mm": 320, "leading_edge_x_mm": 9, "chord_mm": 110, "z_mm": 0},
        ],
        [
            {"y_mm": 0, "leading_edge_x_mm": 0, "chord_mm": 190, "z_mm": 0},
            {"y_mm": math.inf, "leading_edge_x_mm": 9, "chord_mm": 110, "z_mm": 0},
        ],
        [
            {"y_mm": 0, "leading_edge_x_mm": 0, "chord_mm": 190, "z_mm": 0},
            {"y_mm": True, "leading_edge_x_mm": 9, "chord_mm": 110, "z_mm": 0},
        ],
    ],
)
def test_a_wing_that_is_none_is_refused(stations):
    with pytest.raises(ValidationError):
        Airframe(name="W", kind="airframe", wing_stations=stations).clean_fields()


def test_stations_are_read_from_lines():
    form = form_of("airframe")({"name": "W", "wing_stations": "0 60 190\n320; 155,5; 110; 12"})
    assert form.errors == {}
    assert form.cleaned_data["wing_stations"] == [
        {"y_mm": 0.0, "leading_edge_x_mm": 60.0, "chord_mm": 190.0, "z_mm": 0.0},
        {"y_mm": 320.0, "leading_edge_x_mm": 155.5, "chord_mm": 110.0, "z_mm": 12.0},
    ]


@pytest.mark.parametrize("text", ["0 60 190\n1 two 3", "0 60", "0 nan 190\n1 2 3", "0 1 2 3 4"])
def test_a_line_that_is_no_station_is_named(text):
    form = form_of("airframe")({"name": "W", "wing_stations": text})
    assert set(form.errors) == {"wing_stations"}


@pytest.mark.parametrize(
    ("text", "groups"),
    [
        ("1 2 / 3 4 5 / 6", [[1, 2], [3, 4, 5], [6]]),
        ("1,2\n3", [[1, 2], [3]]),
        ("", []),
    ],
)
def test_timer_groups_are_read_from_text(text, groups):
    form = form_of("flight_controller")({"name": "F", "timer_groups": text})
    assert form.errors == {}
    assert form.cleaned_data["timer_groups"] == groups


@pytest.mark.parametrize("text", ["1 1", "1 / 1", "0", "65", "one", "-1", "1.5", "²"])
def test_outputs_that_are_none_are_refused(text):
    form = form_of("flight_controller")({"name": "F", "timer_groups": text})
    assert set(form.errors) == {"timer_groups"}


@pytest.mark.parametrize("groups", ["1", [1], [[]], [[True]], [[1.0]], [["1"]], [[1], [1]]])
def test_timer_groups_of_another_shape_are_refused(groups):
    with pytest.raises(ValidationError):
        DataSheet.registry["flight_controller"](
            name="F", kind="flight_controller", timer_groups=groups
        ).clean_fields()


@pytest.mark.django_db
def test_managers_of_kinds_keep_the_doors():
    motor = MotorFactory()
    MotorFactory()
    assert list(Motor.objects.visible_to(motor.person)) == [motor]
    assert not Motor.objects.visible_to(UserFactory()).exists()
