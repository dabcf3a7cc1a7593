import math

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.test.utils import isolate_apps

from hangar.fields import (
    MeasureField,
    NumberListField,
    WordListField,
    measure,
)
from hangar.form_fields import label_with_unit, label_without_unit


class Gadget(models.Model):
    name = models.CharField(max_length=20, blank=True)
    mass_g = measure("Weighed.", positive=True)
    idle_current_a = measure("At rest.")
    position_mm = measure("Aft of the datum.", minimum=-5000, maximum=5000)
    temperature_c = measure("Of the room.", minimum=None)
    resistance_mohm = NumberListField(help_text="Per cell.", minimum=0, maximum=1000)
    protocols = WordListField(help_text="Protocols.")

    class Meta:
        app_label = "gadgets"
        managed = False

    def __str__(self):
        return self.name


class GadgetForm(forms.ModelForm):
    class Meta:
        model = Gadget
        exclude = ()  # noqa: DJ006


def _cleaned(field, value):
    return Gadget._meta.get_field(field).clean(value, None)


@pytest.mark.parametrize(
    ("field", "value", "expected"),
    [
        ("mass_g", 12.5, 12.5),
        ("mass_g", "2 oz", 56.69904625),
        ("mass_g", None, None),
        ("idle_current_a", 0, 0.0),
        ("position_mm", -12, -12.0),
        ("temperature_c", "-40 °F", -40.0),
        ("resistance_mohm", [3.1, "3.3", "0.003 Ω"], [3.1, 3.3, 3.0]),
        ("resistance_mohm", None, []),
        ("protocols", ["Digital300", "pulse", "digital300"], ["digital300", "pulse"]),
    ],
)
def test_reads_a_value_in_the_unit_of_the_column(field, value, expected):
    assert _cleaned(field, value) == expected


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("mass_g", 0, "This must be above zero."),
        ("mass_g", -1, "This must be above zero."),
        ("mass_g", True, "Enter a number."),
        ("mass_g", math.nan, "Enter a finite number."),
        ("mass_g", math.inf, "Enter a finite number."),
        ("mass_g", "1_0", "This cannot be read"),
        ("mass_g", "٣", "Use the digits 0 to 9 only."),
        ("idle_current_a", -0.1, "This must be at least 0 A."),
        ("position_mm", 5000.1, "This must be at most 5000 mm."),
        ("position_mm", -5000.1, "This must be at least -5000 mm."),
        ("resistance_mohm", [3, -1], "This must be at least 0 mΩ."),
        ("resistance_mohm", [3, math.nan], "Enter a finite number."),
        ("resistance_mohm", [True], "Enter a number."),
        ("resistance_mohm", 3, "Enter a list of numbers."),
        ("resistance_mohm", {"a": 1}, "Enter a list of numbers."),
        ("resistance_mohm", [1] * 65, "Enter at most 64 numbers."),
        ("protocols", "pulse", "Enter a list of words."),
        ("protocols", [1], "Enter a list of words."),
        ("protocols", ["two words"], "is not a short word"),
        ("protocols", ["<b>"], "is not a short word"),
        ("protocols", ["a" * 33], "is not a short word"),
        ("protocols", [f"w{n}" for n in range(33)], "Enter at most 32 words."),
    ],
)
def test_refuses_with_a_message(field, value, message):
    with pytest.raises(ValidationError) as caught:
        _cleaned(field, value)
    assert message in caught.value.messages[0]


def test_the_unit_leaves_the_label_and_stands_in_brackets_in_the_form():
    form = GadgetForm()
    assert form.fields["mass_g"].label == "Mass (g)"
    assert form.fields["idle_current_a"].label == "Idle current (A)"
    assert form.fields["resistance_mohm"].label == "Resistance (mΩ)"
    assert Gadget._meta.get_field("mass_g").verbose_name == "mass"


def test_the_label_of_a_number_without_a_unit_is_its_whole_name():
    assert label_without_unit("thrust_coefficient") == "thrust coefficient"
    assert label_with_unit("thrust coefficient", "coefficient") == "thrust coefficient"


def test_the_form_asks_for_a_number_keypad():
    assert 'inputmode="decimal"' in str(GadgetForm()["mass_g"])


@pytest.mark.django_db
def test_the_form_reads_units_lists_and_words():
    form = GadgetForm(
        {
            "mass_g": "1 lb 3 oz",
            "position_mm": "-2,5 cm",
            "resistance_mohm": "3.1, 3.3 3",
            "protocols": "Digital300, pulse",
        }
    )
    assert form.is_valid(), form.errors
    # NIST SP 811 (2008), appendix B.8: 1 lb = 453.59237 g, exact; 16 oz are 1 lb.
    assert form.cleaned_data["mass_g"] == pytest.approx(453.59237 * 19 / 16)
    assert form.cleaned_data["position_mm"] == -25.0
    assert form.cleaned_data["idle_current_a"] is None
    assert form.cleaned_data["resistance_mohm"] == [3.1, 3.3, 3.0]
    assert form.cleaned_data["protocols"] == ["digital300", "pulse"]


@pytest.mark.django_db
def test_the_form_keeps_what_was_typed_beside_the_error():
    form = GadgetForm({"mass_g": "5 furlong", "resistance_mohm": "3,1,4"})
    assert not form.is_valid()
    assert "furlong is not a unit" in form.errors["mass_g"][0]
    assert 'value="5 furlong"' in str(form["mass_g"])
    assert 'value="3,1,4"' in str(form["resistance_mohm"])


@pytest.mark.django_db
def test_a_value_out_of_bounds_is_told_once_and_at_its_field():
    form = GadgetForm({"mass_g": "-1"})
    assert form.errors == {"mass_g": ["This must be above zero."]}


@pytest.mark.parametrize("text", ["10,12", "10,12 14", "3,1"])
def test_a_comma_inside_a_list_of_numbers_is_not_guessed_at(text):
    field = Gadget._meta.get_field("resistance_mohm").formfield()
    with pytest.raises(ValidationError, match="Part the numbers by spaces"):
        field.clean(text)


@pytest.mark.parametrize("text", ["10 12.5", "10, 12.5", "10,12.5", "10; 12.5", "10\n12.5,"])
def test_numbers_of_a_list_are_parted_by_spaces_commas_or_semicolons(text):
    field = Gadget._meta.get_field("resistance_mohm").formfield()
    assert field.clean(text) == [10.0, 12.5]


def test_a_form_shows_a_stored_value_with_every_digit_and_finds_it_unchanged():
    stored = Gadget(mass_g=25.0, position_mm=0.1 + 0.2, resistance_mohm=[3.0, 3.1], protocols=["a"])
    form = GadgetForm(instance=stored)
    assert form["mass_g"].value() == "25"
    assert form["position_mm"].value() == "0.30000000000000004"
    assert form["resistance_mohm"].value() == "3 3.1"
    names = ("mass_g", "position_mm", "resistance_mohm", "protocols")
    typed = {name: form[name].value() for name in names}
    again = GadgetForm(typed, instance=stored)
    assert again.changed_data == []


@pytest.mark.django_db
def test_the_constraint_lets_an_unknown_value_pass():
    Gadget().full_clean()


@pytest.mark.parametrize("field", ["mass_g", "position_mm", "resistance_mohm", "protocols"])
def test_a_field_rebuilds_itself_for_migrations(field):
    original = Gadget._meta.get_field(field)
    _, path, args, kwargs = original.deconstruct()
    rebuilt = original.clone()
    assert path == f"hangar.fields.{type(original).__name__}"
    assert rebuilt.deconstruct()[1:] == (path, args, kwargs)


def test_bounds_survive_the_rebuilding():
    rebuilt = Gadget._meta.get_field("position_mm").clone()
    assert (rebuilt.minimum, rebuilt.maximum) == (-5000, 5000)
    assert Gadget._meta.get_field("mass_g").clone().positive


@isolate_apps()
def test_a_measure_without_a_unit_in_its_name_is_reported_by_the_system_check():
    class Nameless(models.Model):
        cells_min = MeasureField(null=True)
        held_mm = MeasureField(null=True)

        class Meta:
            app_label = "gadgets"

        def __str__(self):
            return str(self.held_mm)

    names = [field for field in Nameless._meta.get_fields() if isinstance(field, MeasureField)]
    found = {field.name: [error.id for error in field.check()] for field in names}
    assert found == {"cells_min": ["hangar.E001"], "held_mm": []}
