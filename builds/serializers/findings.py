"""What the rules say of a build, and the rule book, as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from rest_framework import serializers

from builds.answers import Answered
from builds.findings import (
    Finding,
    Given,
    Judgement,
    Level,
    Limit,
    NotJudged,
    Rule,
    Settling,
    owner_of,
    settling,
)
from builds.models import Answer, RuleLimit
from builds.records import BuildSnapshot, PartRecord, PositionRecord


class GivenSerializer(serializers.Serializer[Any]):
    """One value that a finding was found from, and whose it is."""

    what = serializers.CharField()
    value = serializers.JSONField()
    source = serializers.CharField(help_text="measured, sheet, computed, build, default, club …")  # type: ignore[assignment]
    at = serializers.DateTimeField(allow_null=True)
    by = serializers.CharField()


class AnswerMarkSerializer(serializers.Serializer[Any]):
    """Why a finding was accepted, by whom and when."""

    id = serializers.IntegerField()
    reason = serializers.CharField()
    by = serializers.CharField()
    at = serializers.DateTimeField()


class FindingSerializer(serializers.Serializer[Any]):
    """What a rule found, with the numbers compared and what to do."""

    rule = serializers.CharField()
    level = serializers.ChoiceField(choices=[level.label for level in Level])
    message = serializers.CharField()
    remedy = serializers.CharField()
    numbers = serializers.DictField(help_text="The numbers compared, by name")
    position = serializers.CharField(help_text="Short name of the position; none: the build")
    source = serializers.CharField()  # type: ignore[assignment]
    inputs = GivenSerializer(many=True)
    is_final = serializers.BooleanField(help_text="It cannot be accepted by a reason")
    digest = serializers.CharField(
        required=False, help_text="Stands for what the rule says of the place as a whole"
    )
    answer = AnswerMarkSerializer(required=False, allow_null=True)


class NotJudgedSerializer(serializers.Serializer[Any]):
    """A check that could not be made, and what would settle it."""

    rule = serializers.CharField()
    missing = serializers.ListField(child=serializers.CharField())
    remedy = serializers.CharField()
    position = serializers.CharField()


class SettlingSerializer(serializers.Serializer[Any]):
    """A missing figure, and how many checks wait for it."""

    missing = serializers.CharField()
    checks = serializers.IntegerField(help_text="Checks that it is part of")
    alone = serializers.IntegerField(help_text="Checks that lack nothing else")
    position = serializers.CharField(help_text="Short name of the position; none: another place")
    part = serializers.CharField(help_text="Label code of the part; none: no part")


class JudgementSerializer(serializers.Serializer[Any]):
    """All that the rules say of a build."""

    judged = serializers.IntegerField(help_text="Checks that were made")
    not_applicable = serializers.IntegerField(help_text="Checks with nothing to look at")
    not_judged = NotJudgedSerializer(many=True)
    findings = FindingSerializer(many=True)
    settles = SettlingSerializer(
        many=True, required=False, help_text="Missing figures, those first that settle most alone"
    )


def plain_judgement(
    judgement: Judgement, build: BuildSnapshot, answered: Answered | None = None
) -> dict[str, Any]:
    """Give a judgement as JSON, each finding with its answer where they were read."""
    return {
        "judged": judgement.judged,
        "not_applicable": judgement.not_applicable,
        "not_judged": [plain_gap(gap) for gap in judgement.not_judged],
        "findings": [plain_finding(finding, answered) for finding in judgement.findings],
        "settles": [plain_settling(one, build) for one in settling(judgement.not_judged)],
    }


def plain_finding(finding: Finding, answered: Answered | None = None) -> dict[str, Any]:
    """Give a finding as JSON, with its answer where they were read."""
    plain = {
        "rule": finding.rule,
        "level": finding.level.label,
        "message": finding.message,
        "remedy": finding.remedy,
        "numbers": {name: _plain(value) for name, value in finding.numbers},
        "position": finding.position,
        "source": finding.source,
        "inputs": [_plain_given(given) for given in finding.inputs],
        "is_final": finding.is_final,
    }
    if answered is None:
        return plain
    answer = answered.answer_to(finding)
    return plain | {
        "digest": answered.subject_of(finding).digest,
        "answer": _plain_mark(answer) if answer else None,
    }


def _plain_given(given: Given) -> dict[str, Any]:
    return {
        "what": given.what,
        "value": _plain(given.value),
        "source": given.source,
        "at": given.at,
        "by": given.by,
    }


def _plain(value: Any) -> Any:
    """A value as JSON; records that a rule read as a whole are told by their number."""
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        plain = [_plain(one) for one in value]
        return f"{len(plain)} on record" if None in plain and None not in value else plain
    return None


def _plain_mark(answer: Answer) -> dict[str, Any]:
    return {
        "id": answer.pk,
        "reason": answer.reason,
        "by": answer.by.username,
        "at": answer.at,
    }


def plain_gap(gap: NotJudged) -> dict[str, Any]:
    """Give what was not judged as JSON."""
    return {
        "rule": gap.rule,
        "missing": gap.missing,
        "remedy": gap.remedy,
        "position": gap.position,
    }


def plain_settling(one: Settling, build: BuildSnapshot) -> dict[str, Any]:
    """Give a missing figure as JSON, with where it is entered."""
    owner = owner_of(one.missing, build)
    part = owner.part if isinstance(owner, PositionRecord) else owner
    return {
        "missing": one.missing,
        "checks": one.checks,
        "alone": one.alone,
        "position": owner.key if isinstance(owner, PositionRecord) else "",
        "part": part.code if isinstance(part, PartRecord) else "",
    }


class ClubLimitSerializer(serializers.Serializer[Any]):
    """What one of your clubs has set a limit to, by whom and when."""

    club = serializers.CharField(help_text="Short name of the club")
    value = serializers.FloatField()
    by = serializers.CharField()
    at = serializers.DateTimeField()
    note = serializers.CharField()


class LimitSerializer(serializers.Serializer[Any]):
    """A threshold of a rule, which a club may set otherwise within bounds."""

    name = serializers.CharField(help_text="Its unit ends the name")
    meaning = serializers.CharField()
    value = serializers.FloatField(help_text="Of common practice")
    minimum = serializers.FloatField()
    maximum = serializers.FloatField()
    clubs = ClubLimitSerializer(many=True)


class RuleSerializer(serializers.Serializer[Any]):
    """A rule of the book: what it asks, what it needs and where it comes from."""

    id = serializers.CharField()
    group = serializers.CharField()
    question = serializers.CharField()
    text = serializers.CharField()
    each = serializers.ListField(child=serializers.CharField(), help_text="Kinds it judges")
    needs = serializers.ListField(child=serializers.CharField(), help_text="kind.figure")
    source = serializers.CharField()  # type: ignore[assignment]
    is_final = serializers.BooleanField(help_text="Its warnings cannot be accepted by a reason")
    limits = LimitSerializer(many=True)


def plain_rule(rule: Rule, set_limits: Iterable[RuleLimit] = ()) -> dict[str, Any]:
    """Give a rule as JSON, with what clubs have set its limits to."""
    own = [row for row in set_limits if row.rule == rule.id and row.value is not None]
    return {
        "id": rule.id,
        "group": rule.group,
        "question": rule.question,
        "text": rule.function.__doc__ or "",
        "each": rule.each,
        "needs": [str(need) for need in rule.needs],
        "source": rule.source,
        "is_final": rule.is_final,
        "limits": [_plain_limit(limit, own) for limit in rule.limits],
    }


def _plain_limit(limit: Limit, own: Iterable[RuleLimit]) -> dict[str, Any]:
    return {
        "name": limit.name,
        "meaning": limit.meaning,
        "value": limit.value,
        "minimum": limit.minimum,
        "maximum": limit.maximum,
        "clubs": [
            {
                "club": row.club.slug,
                "value": row.value,
                "by": row.by.username,
                "at": row.at,
                "note": row.note,
            }
            for row in own
            if row.name == limit.name
        ],
    }
