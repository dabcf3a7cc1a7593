"""Forms of an import: the file, and which of its columns is which field."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from hangar.clubs.models import User
from inventory.forms.owners import OwnerField
from inventory.imports.fields import fields_of, list_fields
from inventory.imports.matching import (
    Matching,
    faults_of,
    kinds_in,
    unknown_kind_words,
)
from inventory.imports.table import FILE_BYTES_MAX, Table
from inventory.kinds import DataSheet

UNIT_LENGTH_MAX = 12
MEGABYTE = 1024 * 1024


class UploadForm(forms.Form):
    """The file of a list, and whose parts these are."""

    file = forms.FileField(
        label="parts list",
        help_text=f"CSV, XLSX or ODS with headers, {FILE_BYTES_MAX // MEGABYTE} MB at most",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx,.ods"}),
    )
    owner = OwnerField()

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["owner"].offer_to(user)  # type: ignore[attr-defined]

    def clean_file(self) -> Any:
        """Refuse a file that is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > FILE_BYTES_MAX:
            raise forms.ValidationError(f"The file is larger than {FILE_BYTES_MAX // MEGABYTE} MB.")
        return file


class ColumnsForm(forms.Form):
    """A form with two boxes for each column of a table: what it is, and in which unit."""

    table: Table

    def columns(self) -> Iterator[dict[str, Any]]:
        """Each column with its first cells and its two boxes."""
        for place, header in enumerate(self.table.headers):
            yield {
                "header": header,
                "samples": self.table.samples(place),
                "column": self[f"column_{place}"],
                "unit": self[f"unit_{place}"],
            }


class MatchingForm(ColumnsForm):
    """For each column what it is and in which unit; for each strange word its kind."""

    kind = forms.ChoiceField(
        required=False, label="kind of rows that name none", help_text="Or of all rows"
    )

    def __init__(self, *args: Any, table: Table, matching: Matching, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = table
        self.words = unknown_kind_words(table, matching)
        kinds = [(kind, sheet.label) for kind, sheet in DataSheet.registry.items()]
        self.fields["kind"].choices = [("", "none"), *kinds]  # type: ignore[attr-defined]
        self.fields["kind"].initial = matching.kind
        choices = _column_choices(table, matching)
        for place, header in enumerate(table.headers):
            key = matching.columns.get(header, "")
            one = list_fields().get(key)
            self.fields[f"column_{place}"] = forms.ChoiceField(
                choices=choices, required=False, label=header, initial=key
            )
            self.fields[f"unit_{place}"] = forms.CharField(
                required=False,
                max_length=UNIT_LENGTH_MAX,
                label=f"unit of {header}",
                initial=matching.unit_of(header, one) if one else "",
                widget=forms.TextInput(
                    attrs={"class": "short", "autocapitalize": "off", "placeholder": "unit"}
                ),
            )
        for place, word in enumerate(self.words):
            self.fields[f"word_{place}"] = forms.ChoiceField(
                choices=[("", "not known"), *kinds],
                required=False,
                label=f"“{word}” is",
                initial=matching.kind_of(word) or "",
            )

    def strange_words(self) -> list[forms.BoundField]:
        """The boxes of the words that mean no kind yet."""
        return [self[f"word_{place}"] for place in range(len(self.words))]

    def clean(self) -> dict[str, Any]:
        """Refuse a matching that cannot be used, each fault at its box."""
        values = super().clean() or self.cleaned_data
        if self.errors:
            return values
        boxes = self._boxes()
        for fault in faults_of(self.matching(), self.table):
            self.add_error(boxes.get((fault.about, fault.name)), fault.message)
        return self.cleaned_data

    def _boxes(self) -> dict[tuple[str, str], str]:
        found = {("kind", ""): "kind"}
        for place, header in enumerate(self.table.headers):
            found["columns", header] = f"column_{place}"
            found["units", header] = f"unit_{place}"
        for place, word in enumerate(self.words):
            found["kinds", word] = f"word_{place}"
        return found

    def matching(self) -> Matching:
        """What was chosen."""
        given = self.cleaned_data
        headers = list(enumerate(self.table.headers))
        columns = {header: given[f"column_{place}"] for place, header in headers}
        # A unit beside a column that has none is no fault: the box is there for every column.
        units = {
            header: given[f"unit_{place}"].strip()
            for place, header in headers
            if (one := list_fields().get(columns[header])) and one.unit
        }
        kinds = {word: given[f"word_{place}"] for place, word in enumerate(self.words)}
        return Matching(
            {header: key for header, key in columns.items() if key},
            {header: unit for header, unit in units.items() if unit},
            {word: kind for word, kind in kinds.items() if kind},
            given["kind"],
        )


def _column_choices(table: Table, matching: Matching) -> list[Any]:
    offered = fields_of(kinds_in(table, matching))
    used = [one for key, one in list_fields().items() if key in matching.columns.values()]
    found = {one.key: one for one in (*offered, *used)}.values()
    return [
        ("", "left out"),
        ("Every part", [(one.key, one.label) for one in found if not one.is_of_sheet]),
        ("Data sheet", [(one.key, one.label) for one in found if one.is_of_sheet]),
    ]
