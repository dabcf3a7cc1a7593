"""The packs on hand, compared."""

from collections import Counter

import pytest

from builds.findings import Level
from builds.pack_options import compare_packs
from builds.reports import report_of
from tests.builds.records_builder import aircraft, part


def options_of(*packs):
    return compare_packs(report_of(aircraft()), packs, None)


def test_what_the_log_says_leads_over_mass():
    told = ("retire", "cannot_tell", "fit", "watch")
    packs = [
        part("pack", id=number, health_verdict=verdict, mass_g=150.0 + number)
        for number, verdict in enumerate(told, start=50)
    ]
    verdicts = [option.verdict for option in options_of(*packs)]
    assert verdicts == ["fit", "watch", "cannot_tell", "retire"]


def test_of_two_fit_packs_the_one_with_fewer_findings_leads():
    six_cells = part("pack", id=50, cell_count=6, mass_g=100.0)
    plain = part("pack", id=51)
    assert [option.record.id for option in options_of(six_cells, plain)] == [51, 50]


@pytest.mark.parametrize(
    "changes",
    [{}, {"cell_count": 6}, {"chemistry": "li_ion"}, {"mass_g": 400.0}, {"continuous_c_rate": 5.0}],
    ids=str,
)
def test_counts_are_those_of_the_whole_rule_book(changes):
    pack = part("pack", id=50, **changes)
    (option,) = options_of(pack)
    found = report_of(aircraft().with_pack(pack)).judgement.findings
    levels = Counter(finding.level for finding in found)
    assert (option.warnings, option.cautions) == (levels[Level.WARNING], levels[Level.CAUTION])
