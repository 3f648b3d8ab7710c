"""A paper that has run out shows nothing, and never makes a low figure vanish (handbook 1.4)."""

from __future__ import annotations

import pytest

from partsdb.rules.certificates import (
    UNREADABLE,
    check_papers,
    edge_on_day,
    has_run_out,
    on_day,
    valid_to,
)
from partsdb.rules.equivalence import check_edge
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.ratings import working_rating
from partsdb.rules.verdict import Check, Outcome

PAPER = EvidenceLevel.SUPPLIERS_DOCUMENT
DAY = "2026-11-20"


def rated(value: str, source: str, level: EvidenceLevel = PAPER) -> Claim:
    return Claim(ClaimKind.RATING, value, level, "", "working", source)


def hose(*claims: Claim) -> PartFacts:
    return PartFacts("Vossgrund", "V1", "Hose", "hose", claims)


@pytest.mark.parametrize(
    ("source", "last"),
    [
        ("certificate 4711, valid to 2026-03-31", "2026-03-31"),
        ("Zertifikat 12, gültig bis 2026-01-01", "2026-01-01"),
        ("certificate 9 (expires 2027-05-01)", "2027-05-01"),
        ("certificate 9 of 2026-05-01", ""),
        ("", ""),
        ("gueltig bis zum 31.12.2026", "2026-12-31"),
        ("exp. 31.12.2025", "2025-12-31"),
        ("Expiry date: 31 Dec 2025", "2025-12-31"),
        ("valid from 2020-01-01 to 2025-01-01", "2025-01-01"),
        ("valid 01.01.2020 - 31.12.2025", "2025-12-31"),
        ("valid to 2027-01-01, expires 2026-06-30", "2026-06-30"),  # the earlier of the two
        # Of a month or a year its first day, of two readings the earlier: the safer one.
        ("exp 12/2025", "2025-12-01"),
        ("valid until 2027", "2027-01-01"),
        ("valid thru Dec 2026", "2026-12-01"),
        ("expires 03/04/2027", "2027-03-04"),
        ("expires 99.99.2020", UNREADABLE),
        # Common practice of the trade, no source: how papers write their last day.
        ("certificate 9, expires June 30, 2025", "2025-06-30"),
        ("valid to Jun 30th 2025", "2025-06-30"),
        ("expires 2025/06/30", "2025-06-30"),
        ("exp. date: 2025.06.30", "2025-06-30"),
        ("valid to 30-Jun-2025", "2025-06-30"),
        ("valid to 30th June 2025", "2025-06-30"),
        ("valid through 30 June, 2025", "2025-06-30"),
        ("valid up to 2025-06-30", "2025-06-30"),
        ("not valid after 2025-06-30", "2025-06-30"),
        ("validity: 2024-01-01 to 2025-01-01", "2025-01-01"),
        ("best before 2025-06-30", "2025-06-30"),
        ("lapses 2025-06-30", "2025-06-30"),
        ("edition 2, withdrawn 2025-06-30", "2025-06-30"),
        ("läuft ab am 30.06.2025", "2025-06-30"),
        ("Ablaufdatum 30.06.2025", "2025-06-30"),
        ("certificate 9 (expired 2025-06-30)", "2025-06-30"),
        # A last day is told, and nobody here can say which: the paper is not known to hold.
        ("expires 30 Jun 25", UNREADABLE),
        ("valid until end of June 2030", UNREADABLE),
        ("gültig bis einschl. 30.06.2030", UNREADABLE),
        ("gültig bis Ende 2030", UNREADABLE),
        ("valid to (incl.) 30.06.2030", UNREADABLE),
        ("expiry 2030-06-30T00:00", UNREADABLE),
        ("valid for 1 year, 2024-01-01", UNREADABLE),
        ("gültig für zwei Jahre", UNREADABLE),
        ("certificate 9, expired", UNREADABLE),
        ("Zertifikat 9, abgelaufen", UNREADABLE),
        ("no longer valid", UNREADABLE),
        ("valid to 2030-06-30; before that until end of 2024", UNREADABLE),
        ("certificate 9, not expired", ""),
        ("certificate EXP-2024, sheet 4", ""),
        ("QB-114, valid for 3300 psi", ""),
        ("valid until revoked", ""),
        ("valid unless withdrawn", ""),
        # Told to hold no more, without a day: the words of papers, common practice, no source.
        ("handbook BH-0 (withdrawn)", UNREADABLE),
        ("certificate 12, revoked by its issuer", UNREADABLE),
        ("bulletin QB-9, superseded by QB-12", UNREADABLE),
        ("certificate 12: VOID", UNREADABLE),
        ("Zertifikat 12, ungültig", UNREADABLE),
        ("Bulletin 4, zurückgezogen", UNREADABLE),
        ("supersession list 2018, line 3", ""),
        ("valve with voids in the casting, sheet 3", ""),
        ("Gültigkeit bis 12/2025", "2025-12-01"),
        ("exposure 2020, p. 3", ""),
        ("QH-7, edition 2026, p. 33", ""),
    ],
)
def test_a_source_says_itself_how_long_it_holds(source: str, last: str) -> None:
    assert valid_to(source) == last


def test_a_claim_on_an_expired_paper_counts_as_inferred() -> None:
    aged = on_day(hose(rated("5000 psi", "certificate 1, valid to 2026-11-19")), DAY)
    assert aged.part.claims[0].evidence is EvidenceLevel.INFERRED
    assert len(aged.expired) == 1


@pytest.mark.parametrize("last", [DAY, "2027-01-01"])
def test_on_its_last_day_and_before_it_a_paper_holds(last: str) -> None:
    part = hose(rated("5000 psi", f"certificate 1, valid to {last}"))
    assert on_day(part, DAY).part is part


def test_a_low_figure_on_an_expired_paper_still_counts() -> None:
    part = hose(
        rated("3000 psi", "certificate 1, valid to 2020-01-01"),
        rated("5000 psi", "catalogue", EvidenceLevel.MAKERS_DOCUMENT),
    )
    shown = working_rating(on_day(part, DAY).part.claims, "hose").pressure
    assert shown is not None and shown.as_written == "3000 psi"


def test_the_code_is_given_where_something_is_left_open_and_only_there() -> None:
    claim = rated("5000 psi", "certificate 1, valid to 2020-01-01")
    is_open = [Check("pressure", Outcome.NOT_SHOWN, "supplier's word")]
    found = check_papers([claim], is_open)
    assert found is not None and found.code == "CERT_EXPIRED"
    assert "5000 psi rested on certificate 1" in found.text
    assert check_papers([claim], [Check("pressure", Outcome.MEETS, "")]) is None
    assert check_papers([], is_open) is None


def test_a_last_day_that_cannot_be_read_shows_nothing() -> None:
    assert has_run_out("certificate 1, expires 99.99.2099", DAY)
    claim = rated("5000 psi", "certificate 1, valid for 3 years")
    found = check_papers([claim], [Check("pressure", Outcome.NOT_SHOWN, "")])
    assert found is not None and "whose last day cannot be read" in found.text
    assert not has_run_out("certificate 1", DAY)


@pytest.mark.parametrize(
    ("state", "last", "outcome"),
    [
        ("accepted", "2026-11-19", Outcome.NOT_SHOWN),
        ("accepted", DAY, Outcome.MEETS),
        ("rejected", "2026-11-19", Outcome.FAILS),  # what leaked once still leaks
    ],
)
def test_an_approval_on_a_paper_that_has_run_out_is_none(
    state: str, last: str, outcome: Outcome
) -> None:
    edge = StandsIn(
        ("Q", "1"), ("C", "2"), state, EvidenceLevel.MAKERS_DOCUMENT, (), f"TB 4, valid to {last}"
    )
    assert check_edge(edge_on_day(edge, DAY), "valve kit").outcome is outcome
    assert edge_on_day(edge, "") is edge
