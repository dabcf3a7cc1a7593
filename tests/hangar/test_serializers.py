import json

import pytest
from django.db import models
from rest_framework import serializers

from hangar.fields import NumberListField, WordListField, measure
from hangar.serializers import HangarModelSerializer, QuantitySerializerField


class Widget(models.Model):
    mass_g = measure("Weighed.", positive=True)
    span_mm = measure("Tip to tip.", maximum=20_000)
    low_v = measure()
    high_v = measure()
    owner = models.CharField(max_length=20)
    resistance_mohm = NumberListField(minimum=0, maximum=1000)
    protocols = WordListField()

    class Meta:
        app_label = "widgets"
        managed = False
        constraints = [
            models.CheckConstraint(
                condition=models.Q(low_v__lte=models.F("high_v")),
                name="widget_low_below_high",
                violation_error_message="The low voltage is above the high one.",
            ),
        ]

    def __str__(self):
        return self.owner


class WidgetSerializer(HangarModelSerializer):
    set_later = ("owner",)

    class Meta:
        model = Widget
        fields = ("mass_g", "span_mm", "low_v", "high_v", "resistance_mohm", "protocols")


pytestmark = pytest.mark.django_db


def _errors(data, **kwargs):
    serializer = WidgetSerializer(data=data, **kwargs)
    serializer.is_valid()
    return json.loads(json.dumps(serializer.errors))


def test_reads_numbers_and_texts_with_a_unit():
    serializer = WidgetSerializer(
        data={
            "mass_g": "2 oz",
            "span_mm": 900,
            "resistance_mohm": [3.1, "0.003 Ω"],
            "protocols": ["Digital300"],
        }
    )
    assert serializer.is_valid(), serializer.errors
    assert serializer.validated_data == {
        "mass_g": 56.69904625,
        "span_mm": 900.0,
        "resistance_mohm": [3.1, 3.0],
        "protocols": ["digital300"],
    }


def test_answers_plain_numbers():
    widget = Widget(mass_g=56.69904625, resistance_mohm=[3.1], protocols=["pulse"])
    data = WidgetSerializer(widget).data
    assert data["mass_g"] == 56.69904625
    assert data["span_mm"] is None
    assert data["resistance_mohm"] == [3.1]
    assert data["protocols"] == ["pulse"]


@pytest.mark.parametrize(
    "value", [True, "NaN", float("nan"), float("inf"), "1e999", "1_0", "٣", "", [1], {}, "5 mm"]
)
def test_refuses_what_is_no_quantity_at_its_field(value):
    assert list(_errors({"mass_g": value})) == ["mass_g"]


@pytest.mark.parametrize("value", [0, -1, "0 kg"])
def test_a_value_that_must_be_positive_is_refused_at_its_field(value):
    assert _errors({"mass_g": value}) == {"mass_g": ["This must be above zero."]}


def test_a_value_out_of_bounds_is_refused_at_its_field():
    assert list(_errors({"span_mm": 20_001})) == ["span_mm"]


def test_a_broken_constraint_of_the_model_is_an_error_and_no_crash():
    assert _errors({"low_v": 5, "high_v": 3}) == {
        "non_field_errors": ["The low voltage is above the high one."]
    }


def test_a_partial_change_is_judged_together_with_what_is_stored():
    stored = Widget(low_v=3.0, high_v=4.0, owner="a")
    assert _errors({"low_v": 5}, instance=stored, partial=True) == {
        "non_field_errors": ["The low voltage is above the high one."]
    }
    assert stored.low_v == 3.0


def test_a_field_that_is_set_later_is_not_asked_for():
    assert _errors({"mass_g": 5}) == {}


def test_a_field_that_is_not_set_later_is_asked_for():
    class Whole(WidgetSerializer):
        set_later = ()

    serializer = Whole(data={"mass_g": 5})
    assert not serializer.is_valid()
    assert list(serializer.errors) == ["owner"]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("resistance_mohm", [True]),
        ("resistance_mohm", [-1]),
        ("resistance_mohm", "3.1"),
        ("resistance_mohm", [1] * 65),
        ("protocols", ["two words"]),
        ("protocols", [{}]),
        ("protocols", "pulse"),
    ],
)
def test_refuses_a_bad_list_at_its_field(field, value):
    assert list(_errors({field: value})) == [field]


def test_the_unit_is_in_the_help_text():
    fields = WidgetSerializer().fields
    assert fields["mass_g"].help_text == "Weighed. In g."
    assert fields["resistance_mohm"].help_text == "In mΩ."


def test_a_field_by_hand_reads_its_own_unit():
    class ByHand(serializers.Serializer):
        capacity = QuantitySerializerField(unit="mah", min_value=1)

    serializer = ByHand(data={"capacity": "2.2 Ah"})
    assert serializer.is_valid(), serializer.errors
    assert serializer.validated_data == {"capacity": 2200.0}
