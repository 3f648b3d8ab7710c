"""A nominal rating, confirmed once by a person, is remembered with who, when and why."""

from __future__ import annotations

import pytest
from small_shop import BY, SmallShop

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.confirmations import confirm_nominal, nominal_of
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.rules.facts import ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Outcome, Verdict
from partsdb.store import events
from partsdb.store.claims import part_facts

DAY = "2026-11-20"


@pytest.fixture
def hose(small: SmallShop) -> int:
    """A hose of "227 bar", which is 3292 psi, where 3300 psi is called for."""
    asked = small.part("27-1", "hose", rating="3300 psi")
    other = small.part("CW 27", "hose", maker="Corrowby", rating="227 bar")
    for part in (asked, other):
        small.claim(part, ClaimKind.PORT, "1/4-18 NPSM female")
    small.edge(asked, other, "accepted", EvidenceLevel.MEASURED_HERE)
    small.position(small.machine(), "hose", "hose", (asked,), "3300 psi")
    return other


def pressure() -> object:
    [candidate] = instead(InsteadAsk("27-1", DAY)).candidates
    [check] = [check for check in candidate.checks if check.check == "pressure"]
    return check


def test_a_rating_within_the_nominal_band_asks_for_a_person(hose: int) -> None:
    found = pressure()
    assert found.outcome is Outcome.MEETS_WITH_CONDITIONS
    assert found.code == "DUAL_UNIT_ROUNDING"
    assert found.conditions[0].startswith("confirm once that 227 bar")


def test_once_confirmed_it_meets_and_the_reason_says_who_and_when(hose: int) -> None:
    confirm_nominal("CW 27", None, "cover of the hose is printed 3300 psi / 227 bar", BY)
    found = pressure()
    assert found.outcome is Outcome.MEETS
    assert "confirmed as nominal by Ilse on 2026-11-02: cover of the hose" in found.text


def test_a_confirmation_is_an_event_that_is_never_overwritten(hose: int) -> None:
    confirm_nominal("CW 27", None, "printed on the cover", BY)
    [event] = [e for e in events.history("part", hose) if e.action == "confirmed nominal"]
    assert (event.who, event.at) == (BY.who, BY.at)
    assert event.detail == {"figure": "227 bar", "reason": "printed on the cover"}


def test_taken_back_it_counts_no_more_and_both_stay_in_the_history(hose: int) -> None:
    confirm_nominal("CW 27", None, "printed on the cover", BY)
    confirm_nominal("CW 27", None, "another hose was meant", BY, withdraw=True)
    assert pressure().outcome is Outcome.MEETS_WITH_CONDITIONS
    assert len([e for e in events.history("part", hose) if "nominal" in e.action]) == 2


def test_it_does_not_hold_for_another_figure_that_turns_up_later(
    small: SmallShop, hose: int
) -> None:
    confirm_nominal("CW 27", None, "printed on the cover", BY)
    small.claim(hose, ClaimKind.RATING, "226.9 bar", basis="working")
    assert pressure().outcome is Outcome.MEETS_WITH_CONDITIONS


def test_it_never_lifts_a_rating_that_is_lower_than_rounding_explains(small: SmallShop) -> None:
    asked = small.part("27-9", "hose", rating="3300 psi")
    low = small.part("CW 29", "hose", maker="Corrowby", rating="225 bar")
    small.edge(asked, low, "accepted", EvidenceLevel.MEASURED_HERE)
    small.position(small.machine(), "hose", "hose", (asked,), "3300 psi")
    confirm_nominal("CW 29", None, "somebody hopes so", BY)
    [candidate] = instead(InsteadAsk("27-9", DAY)).candidates
    assert candidate.verdict is Verdict.DO_NOT_FIT


def test_without_a_reason_nothing_is_confirmed(hose: int) -> None:
    with pytest.raises(UsageError, match="needs a reason"):
        confirm_nominal("CW 27", None, "  ", BY)
    assert nominal_of(part_facts([hose])[hose]) is None


def test_a_part_without_a_stated_rating_has_nothing_to_confirm(small: SmallShop) -> None:
    small.part("27-5", "hose")
    with pytest.raises(UsageError, match="no stated working rating"):
        confirm_nominal("27-5", None, "hope", BY)
    burst = small.part("27-6", "hose")
    small.claim(burst, ClaimKind.RATING, "13200 psi", basis="burst")
    with pytest.raises(UsageError, match="no stated working rating"):
        confirm_nominal("27-6", None, "hope", BY)


def test_what_was_never_confirmed_cannot_be_taken_back(hose: int) -> None:
    with pytest.raises(UsageError, match="nothing is confirmed"):
        confirm_nominal("CW 27", None, "mistake", BY, withdraw=True)
    with pytest.raises(NotFoundError):
        confirm_nominal("CW 99", None, "no such part", BY)
