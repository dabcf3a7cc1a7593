"""What the rules say of a build, and the registry of all rules. Plain Python."""

from builds.findings.book import ANY, Limit, Need, Rule, RuleBook, RuleFunction, book
from builds.findings.case import Case, MissingValue
from builds.findings.results import Finding, Given, Judgement, Level, NotJudged
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
    "book",
    "words_of",
)
