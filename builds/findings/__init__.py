"""What the rules say of a build, and the registry of all rules. Plain Python."""

from builds.findings.answering import Subject, subjects_of
from builds.findings.book import ANY, Limit, Need, Rule, RuleBook, RuleFunction, book
from builds.findings.case import Case, MissingValue
from builds.findings.causes import by_cause
from builds.findings.results import Finding, Given, Judgement, Level, NotJudged
from builds.findings.settling import Settling, owner_of, settling
from builds.findings.words import GROUND_WORDS, WORDS, words_of

__all__ = (
    "ANY",
    "GROUND_WORDS",
    "WORDS",
    "Case",
    "Finding",
    "Given",
    "Judgement",
    "Level",
    "Limit",
    "MissingValue",
    "Need",
    "NotJudged",
    "Rule",
    "RuleBook",
    "RuleFunction",
    "Settling",
    "Subject",
    "book",
    "by_cause",
    "owner_of",
    "settling",
    "subjects_of",
    "words_of",
)
