"""Forms of a log file: the file, and how its rows are read."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms

from inventory.imports.forms import ColumnsForm
from inventory.imports.table import Table
from inventory.log_files.fields import (
    BOTH,
    KINDS,
    SAMPLES,
    SHAPES,
    SUMMARY,
    LogFileField,
    cell_of,
    log_file_fields,
)
from inventory.log_files.importing import RECIPE_NAME_MAX
from inventory.log_files.receiving import FILE_BYTES_MAX, MEGABYTE
from inventory.log_files.recipes import Recipe, faults_of
from inventory.log_files.times import DAY_FIRST, MONTH_FIRST
from inventory.models import LogEntry

UNIT_LENGTH_MAX = 12
STARTED = forms.DateTimeInput(
    attrs={"type": "datetime-local", "step": "1"}, format="%Y-%m-%dT%H:%M"
)
OUT, IN = "out", "in"


class LogFileForm(forms.Form):
    """The file that a charger or logger wrote."""

    file = forms.FileField(
        label="log file",
        help_text=f"CSV with headers, or a MAVLink telemetry recording; "
        f"{FILE_BYTES_MAX // MEGABYTE} MB at most",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.log,.tlog"}),
    )

    def clean_file(self) -> Any:
        """Refuse a file that is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > FILE_BYTES_MAX:
            raise forms.ValidationError(f"The file is larger than {FILE_BYTES_MAX // MEGABYTE} MB.")
        return file


class RecipeForm(ColumnsForm):
    """For each column what it is and in which unit, and how times and signs are meant."""

    shape = forms.ChoiceField(choices=list(SHAPES.items()), label="each row is")
    kind = forms.ChoiceField(
        required=False,
        label="rows are",
        help_text="For rows that do not say what they are; not for samples",
    )
    counts_in = forms.ChoiceField(
        choices=[(OUT, "out of the pack, in a flight"), (IN, "into the pack, on the charger")],
        label="a positive current, or the counter, runs",
        help_text="For samples only",
    )
    zone = forms.CharField(
        max_length=60, label="time zone", help_text="UTC, +02:00 or such as Europe/Berlin"
    )
    day_order = forms.ChoiceField(
        choices=[(DAY_FIRST, "day before month"), (MONTH_FIRST, "month before day")],
        label="dates such as 03/04/2026",
    )
    decimal = forms.ChoiceField(
        choices=[(".", "a point, 1.5"), (",", "a comma, 1,5")], label="decimals stand behind"
    )
    starts_at = forms.DateTimeField(
        required=False,
        label="the recording began",
        widget=STARTED,
        help_text="For a file that only counts from its start; in the time zone above",
    )
    wants_rest = forms.BooleanField(required=False, label="log the cells after ten minutes at rest")
    wants_resistance = forms.BooleanField(
        required=False, label="log the resistance that the steps of the current show"
    )
    name = forms.CharField(
        max_length=RECIPE_NAME_MAX,
        required=False,
        label="remember this as",
        help_text="The next file with these headers is read the same way",
    )

    def __init__(
        self, *args: Any, table: Table, recipe: Recipe, cells: int | None, **kwargs: Any
    ) -> None:
        kwargs["initial"] = _initial(recipe)
        super().__init__(*args, **kwargs)
        self.table = table
        self.cells = cells
        kinds = [(kind, label) for kind, label in LogEntry.Kind.choices if kind in KINDS]
        self.fields["kind"].choices = [("", "said by a column"), *kinds]  # type: ignore[attr-defined]
        choices = _column_choices(cells)
        for place, header in enumerate(table.headers):
            key = recipe.columns.get(header, "")
            self.fields[f"column_{place}"] = forms.ChoiceField(
                choices=choices, required=False, label=header, initial=key
            )
            one = log_file_fields().get(key)
            self.fields[f"unit_{place}"] = forms.CharField(
                required=False,
                max_length=UNIT_LENGTH_MAX,
                label=f"unit of {header}",
                initial=recipe.unit_of(header) if one and one.unit else "",
                widget=forms.TextInput(
                    attrs={"class": "short", "autocapitalize": "off", "placeholder": "unit"}
                ),
            )

    def choices(self) -> list[forms.BoundField]:
        """The boxes that hold for the whole file."""
        return [self[name] for name in self.base_fields]

    def clean(self) -> dict[str, Any]:
        """Refuse a recipe that cannot be used, each fault at its box."""
        values = super().clean() or self.cleaned_data
        if self.errors:
            return values
        boxes = {
            (about, header): f"{about[:-1]}_{place}"
            for place, header in enumerate(self.table.headers)
            for about in ("columns", "units")
        }
        for fault in faults_of(self.recipe(), self.table.headers, self.cells):
            box = boxes.get((fault.about, fault.name))
            self.add_error(
                box or (fault.about if fault.about in self.fields else None), fault.message
            )
        return self.cleaned_data

    def recipe(self) -> Recipe:
        """What was chosen."""
        given = self.cleaned_data
        headers = list(enumerate(self.table.headers))
        columns = {
            header: given[f"column_{place}"]
            for place, header in headers
            if given[f"column_{place}"]
        }
        # A unit beside a column that has none is no fault: the box is there for every column.
        units = {
            header: given[f"unit_{place}"].strip()
            for place, header in headers
            if given[f"unit_{place}"].strip()
            and (one := log_file_fields().get(columns.get(header, "")))
            and one.unit
        }
        starts_at: datetime | None = given["starts_at"]
        return Recipe(
            shape=given["shape"],
            columns=columns,
            units=units,
            kind=given["kind"],
            zone=given["zone"].strip(),
            day_order=given["day_order"],
            decimal=given["decimal"],
            counts_in=given["counts_in"] == IN,
            starts_at=f"{starts_at:%Y-%m-%dT%H:%M:%S}" if starts_at else "",
            wants_rest=given["wants_rest"],
            wants_resistance=given["wants_resistance"],
        )


def _initial(recipe: Recipe) -> dict[str, Any]:
    return {
        "shape": recipe.shape,
        "kind": recipe.kind,
        "counts_in": IN if recipe.counts_in else OUT,
        "zone": recipe.zone,
        "day_order": recipe.day_order,
        "decimal": recipe.decimal,
        "starts_at": recipe.starts_at,
        "wants_rest": recipe.wants_rest,
        "wants_resistance": recipe.wants_resistance,
    }


def _column_choices(cells: int | None) -> list[Any]:
    fields = [one for one in log_file_fields().values() if _is_offered(one, cells)]
    groups = (
        ("Any file", BOTH),
        ("One charge, use or reading a row", (SUMMARY,)),
        ("Samples", (SAMPLES,)),
    )
    return [
        ("", "left out"),
        *(
            (title, [(one.key, one.label) for one in fields if one.shapes == shapes])
            for title, shapes in groups
        ),
    ]


def _is_offered(one: LogFileField, cells: int | None) -> bool:
    cell = cell_of(one.key)
    return cell is None or cell[0] <= (cells or 0)
