"""Forms of a pack's log: one for each kind of entry, with the boxes that belong to it."""

from __future__ import annotations

from typing import Any

from django import forms

from hangar.form_fields import NumberListFormField, QuantityFormField
from inventory.models import Incident, LogEntry

SECONDS_PER_MINUTE = 60
STARTED = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
COLUMNS = {
    "use": ("charge_mah", "duration_min", "voltage_min_v", "current_max_a", "temperature_c",
            "is_capacity_test"),
    "charge": ("charge_mah", "duration_min", "temperature_c", "counter_mah", "counter_cycles",
               "is_full"),
    "rest": ("rest_v", "rested_h", "temperature_c"),
    "resistance": ("resistance_mohm", "temperature_c", "method"),
    "storage": ("rest_v",),
    "incident": ("incident",),
    "inspection": ("thickness_mm",),
}  # fmt: skip


class LogForm(forms.Form):
    """One entry of a pack's log."""

    charge_mah = QuantityFormField(unit="mah", label="charge", required=False)
    duration_min = QuantityFormField(unit="min", label="time", required=False)
    voltage_min_v = QuantityFormField(unit="v", label="least voltage of the pack", required=False)
    current_max_a = QuantityFormField(unit="a", label="highest current", required=False)
    rest_v = NumberListFormField(
        unit="v",
        label="voltage of each cell",
        required=False,
        help_text="Apart by spaces, such as 3.84 3.85 3.84",
    )
    rested_h = QuantityFormField(unit="h", label="hours at rest before", required=False)
    resistance_mohm = NumberListFormField(
        unit="mohm", label="resistance of each cell", required=False, help_text="Apart by spaces"
    )
    incident = forms.ChoiceField(choices=Incident, label="what happened")
    temperature_c = QuantityFormField(unit="c", label="temperature of the pack", required=False)
    is_full = forms.BooleanField(required=False, label="ran to its end, to the full voltage")
    is_capacity_test = forms.BooleanField(
        required=False, label="controlled discharge from full to the least voltage"
    )
    counter_mah = QuantityFormField(unit="mah", label="charger's running counter", required=False)
    counter_cycles = forms.IntegerField(
        required=False, min_value=0, max_value=100_000, label="cycle counter of charger or pack"
    )
    thickness_mm = QuantityFormField(unit="mm", label="thickness of the pack", required=False)
    method = forms.CharField(max_length=60, required=False, label="instrument and method")
    started_at = forms.DateTimeField(
        required=False, label="when", widget=STARTED, help_text="UTC; blank for now"
    )
    note = forms.CharField(max_length=300, required=False, label="note")

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        wanted = {*COLUMNS[kind], "started_at", "note"}
        for name in set(self.fields) - wanted:
            del self.fields[name]
        self.order_fields(COLUMNS[kind])
        if "charge_mah" in self.fields:
            self.fields["charge_mah"].label = (
                "charge put back (mAh)" if kind == "charge" else "charge used (mAh)"
            )

    def values(self) -> dict[str, Any]:
        """What was read, in the columns of a log entry."""
        found = {
            name: value
            for name, value in self.cleaned_data.items()
            if value not in (None, "", [], False) and name != "duration_min"
        }
        minutes = self.cleaned_data.get("duration_min")
        if minutes is not None:
            found["duration_s"] = minutes * SECONDS_PER_MINUTE
        return found | {"kind": self.kind}


def values_to_correct(entry: LogEntry) -> dict[str, Any]:
    """What an entry says, as a form shows it."""
    found = {name: getattr(entry, name) for name in LogForm.base_fields if name != "duration_min"}
    if entry.duration_s is not None:
        found["duration_min"] = entry.duration_s / SECONDS_PER_MINUTE
    return found
