"""Findings of one cause put together, so that one fault takes one line. Plain Python."""

from __future__ import annotations

from collections.abc import Iterable

from builds.findings.results import Finding


def by_cause(findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings of one rule, level, remedy and numbers together, in the order of the first.

    Two servos of one model on one rail too weak for them have one cause and one cure.
    """
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        cause = repr((finding.rule, finding.level, finding.remedy, finding.numbers))
        groups.setdefault(cause, []).append(finding)
    return tuple(tuple(group) for group in groups.values())
