"""Every kind is known to pages, API, filters, snapshot records and imports by its one file."""

import pytest

from builds.snapshot import part_records
from hangar.fields import MeasureField
from inventory.kinds import DataSheet
from inventory.models import Part
from tests.factories import part_of

each_kind = pytest.mark.parametrize("kind", sorted(DataSheet.registry))
VALUE = 3.0
pytestmark = pytest.mark.django_db


def own_measure(kind):
    """The first column for a measure that only this kind has."""
    sheet = DataSheet.registry[kind]
    columns = map(sheet._meta.get_field, sheet.own_field_names())
    return next(column.name for column in columns if isinstance(column, MeasureField))


@each_kind
def test_the_page_has_a_box_for_every_column(kind, user, client_of):
    page = client_of(user).get(f"/sheets/add/{kind}/").content.decode()
    names = DataSheet.registry[kind].own_field_names()
    assert [name for name in names if f'name="{name}"' not in page] == []


@each_kind
def test_the_api_takes_and_shows_its_columns(kind, user, api_of):
    column = own_measure(kind)
    made = api_of(user).post(f"/api/v1/sheets/{kind}/", {"name": "any", column: str(VALUE)})
    assert made.status_code == 201, made.json()
    shown = api_of(user).get(f"/api/v1/sheets/{kind}/{made.json()['id']}/").json()
    assert (shown["kind"], shown[column]) == (kind, VALUE)
    assert set(DataSheet.registry[kind].own_field_names()) <= set(shown)


@each_kind
def test_parts_are_found_by_its_columns(kind, user, api_of):
    column = own_measure(kind)
    part = part_of(kind, user, **{f"sheet__{column}": VALUE})
    found = {
        bound: api_of(user).get("/api/v1/parts/", {"kind": kind, f"{column}__gte": bound}).json()
        for bound in (VALUE, VALUE + 1)
    }
    assert [row["code"] for row in found[VALUE]["results"]] == [part.code]
    assert found[VALUE + 1]["results"] == []


@each_kind
def test_the_record_of_a_part_holds_its_columns(kind, user):
    column = own_measure(kind)
    part = part_of(kind, user, **{f"sheet__{column}": VALUE})
    record = part_records(Part.objects.filter(pk=part.pk))[part.pk]
    assert (record.kind, record.get(column)) == (kind, VALUE)


@each_kind
def test_a_list_fills_its_columns(kind, user, api_of):
    column = own_measure(kind)
    label = DataSheet.registry[kind].label
    given = {"file_name": "parts.csv", "text": f"what;name;{column}\n{label};any;{VALUE}\n"}
    matching = {"columns": {"what": "kind", "name": "name", column: column}}
    done = api_of(user).post("/api/v1/imports/", {**given, "matching": matching})
    assert done.status_code == 201, done.json()
    sheet = Part.objects.get(person=user).sheet.typed
    assert (sheet.kind, getattr(sheet, column)) == (kind, VALUE)
