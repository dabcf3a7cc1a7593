"""The rule book, generated from the registry."""

from __future__ import annotations

import inspect
from dataclasses import dataclass
from itertools import groupby

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse

import builds.rules  # noqa: F401 - registers the rules
from builds.findings import Need, Rule, book, words_of
from builds.pages.rows import kind_label
from builds.pages.wording import LABELS
from hangar.requests import PersonRequest
from hangar.submissions import show


@dataclass(frozen=True)
class RuleEntry:
    """One rule, ready to be read."""

    id: str
    question: str
    paragraphs: tuple[str, ...]
    needs: tuple[str, ...]
    source: str


@login_required
def rule_list(request: PersonRequest) -> HttpResponse:
    """Show every rule by group: what it asks, what it needs, where it comes from."""
    rules = sorted(book, key=lambda rule: rule.group)
    groups = [
        (group.replace("_", " "), [_entry(rule) for rule in members])
        for group, members in groupby(rules, key=lambda rule: rule.group)
    ]
    return show(request, "builds/rule_list.html", {"groups": groups, "count": len(rules)})


def _entry(rule: Rule) -> RuleEntry:
    detail = (inspect.getdoc(rule.function) or "").partition("\n")[2].replace("`", "")
    paragraphs = tuple(" ".join(block.split()) for block in detail.split("\n\n") if block.strip())
    needs = tuple(dict.fromkeys(_need_words(need) for need in rule.needs))
    return RuleEntry(rule.id, rule.question, paragraphs, needs, rule.source)


def _need_words(need: Need) -> str:
    if need.kind == "figure":
        return f"calculated: {LABELS.get(need.name, words_of(need.name)).lower()}"
    return f"{kind_label(need.kind)}: {words_of(need.name)}"
