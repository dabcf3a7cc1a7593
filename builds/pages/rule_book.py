"""The rule book, generated from the registry."""

from __future__ import annotations

import inspect
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse

import builds.rules  # noqa: F401 - registers the rules
from builds.findings import Limit, Need, Rule, book, words_of
from builds.models import RuleLimit
from builds.pages.rows import kind_label
from builds.pages.wording import LABELS, Reader
from hangar.clubs.models import Club
from hangar.requests import PersonRequest
from hangar.submissions import show


@dataclass(frozen=True)
class LimitEntry:
    """A limit of a rule as text, and what clubs have set it to: entry and value."""

    meaning: str
    usual: str
    bounds: str
    of_clubs: tuple[tuple[RuleLimit, str], ...]


@dataclass(frozen=True)
class RuleEntry:
    """One rule, ready to be read."""

    id: str
    question: str
    paragraphs: tuple[str, ...]
    needs: tuple[str, ...]
    source: str
    is_final: bool
    limits: tuple[LimitEntry, ...]


@login_required
def rule_list(request: PersonRequest) -> HttpResponse:
    """Show every rule by group: what it asks, needs and allows, where it comes from."""
    rows = RuleLimit.objects.visible_to(request.user).newest().filter(value__isnull=False)
    own = list(rows.select_related("club", "by").order_by("club__name", "pk"))
    reader = Reader(request.user)
    rules = sorted(book, key=lambda rule: rule.group)
    groups = [
        (group.replace("_", " "), [rule_entry(rule, own, reader) for rule in members])
        for group, members in groupby(rules, key=lambda rule: rule.group)
    ]
    context = {
        "groups": groups,
        "count": len(rules),
        "clubs": Club.objects.visible_to(request.user),
    }
    return show(request, "builds/rule_list.html", context)


def rule_entry(rule: Rule, own: Iterable[RuleLimit], reader: Reader) -> RuleEntry:
    """A rule in words, with its limits and what clubs have set."""
    detail = (inspect.getdoc(rule.function) or "").partition("\n")[2].replace("`", "")
    paragraphs = tuple(" ".join(block.split()) for block in detail.split("\n\n") if block.strip())
    needs = tuple(dict.fromkeys(_need_words(need) for need in rule.needs))
    set_here = [row for row in own if row.rule == rule.id]
    return RuleEntry(
        id=rule.id,
        question=rule.question,
        paragraphs=paragraphs,
        needs=needs,
        source=rule.source,
        is_final=rule.is_final,
        limits=tuple(_limit_entry(limit, set_here, reader) for limit in rule.limits),
    )


def _limit_entry(limit: Limit, own: Iterable[RuleLimit], reader: Reader) -> LimitEntry:
    usual, least, most = (
        reader.say(value, limit.name) for value in (limit.value, limit.minimum, limit.maximum)
    )
    return LimitEntry(
        meaning=limit.meaning,
        usual=usual,
        bounds=f"{least} to {most}",
        of_clubs=tuple(
            (row, reader.say(row.value, limit.name)) for row in own if row.name == limit.name
        ),
    )


def _need_words(need: Need) -> str:
    if need.kind == "figure":
        return f"calculated: {LABELS.get(need.name, words_of(need.name)).lower()}"
    return f"{kind_label(need.kind)}: {words_of(need.name)}"
