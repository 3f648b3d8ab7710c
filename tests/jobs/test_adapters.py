"""An adapter is a piece of the chain: named by a condition it is looked up, else proposed."""

from __future__ import annotations

import pytest
from small_shop import SmallShop

from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.named import the_part
from partsdb.rules.facts import ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Outcome, Verdict

MEASURED = EvidenceLevel.MEASURED_HERE
DAY = "2026-11-20"


def gauge_shop(
    small: SmallShop, *, adapter_rating: str = "5000 psi", needs_adapter: bool = True
) -> None:
    """A gauge with 1/4 NPT is called for at 3300 psi; another has G 1/4 and a scale of 5000 psi."""
    asked, other = small.part("28-1", "gauge"), small.part("AGS-1", "gauge", maker="Ambrelle")
    for part, port in ((asked, "1/4-18 NPT male"), (other, "G 1/4 male, flat face")):
        small.claim(part, ClaimKind.PORT, port, about="inlet")
        small.claim(part, ClaimKind.DIMENSION, "5000 psi", about="full_scale")
    adapter = small.part(
        "AQF-14", "fitting", maker="Ambrelle", rating=adapter_rating, description="Adapter"
    )
    small.claim(adapter, ClaimKind.PORT, "1/4-18 NPT male", about="inlet")
    small.claim(adapter, ClaimKind.PORT, "G 1/4 female, flat face", about="outlet")
    conditions = ("needs adapter AQF-14",) if needs_adapter else ()
    small.edge(asked, other, "accepted", MEASURED, conditions)
    small.position(
        small.machine(), "gauge", "gauge", (asked,), "3300 psi", ports=("1/4-18 NPT female",)
    )


def the_other() -> object:
    [candidate] = instead(InsteadAsk("28-1", DAY)).candidates
    return candidate


def checks(candidate) -> dict[str, object]:
    return {check.check: check for check in candidate.checks}


def test_the_adapter_that_a_condition_names_is_looked_up_and_its_joints_judged(
    small: SmallShop,
) -> None:
    gauge_shop(small)
    found = the_other()
    assert found.verdict is Verdict.FIT_WITH_CONDITIONS
    assert checks(found)["thread"].outcome is Outcome.MEETS_WITH_CONDITIONS
    assert "fit the adapter AQF-14" in found.conditions


def test_an_adapter_of_less_than_the_demand_makes_the_part_one_not_to_fit(
    small: SmallShop,
) -> None:
    gauge_shop(small, adapter_rating="3000 psi")
    found = the_other()
    assert found.verdict is Verdict.DO_NOT_FIT
    assert checks(found)["pressure adapter"].code == "PRESSURE_LOW"


def test_an_adapter_without_a_rating_leaves_the_pressure_not_shown(small: SmallShop) -> None:
    gauge_shop(small, adapter_rating="")
    found = the_other()
    assert found.verdict is Verdict.ASK_FIRST
    assert checks(found)["pressure adapter"].code == "PRESSURE_UNKNOWN"


def test_an_adapter_number_that_two_makers_have_shows_nothing(small: SmallShop) -> None:
    gauge_shop(small)
    small.part("AQF-14", "fitting", maker="Corrowby")
    found = the_other()
    assert found.verdict is Verdict.ASK_FIRST
    assert checks(found)["thread"].code == "NEEDS_ADAPTER"


def test_an_adapter_that_would_close_the_gap_is_proposed_and_the_verdict_stays(
    small: SmallShop,
) -> None:
    gauge_shop(small, needs_adapter=False)
    found = the_other()
    assert found.verdict is Verdict.DO_NOT_FIT
    assert checks(found)["thread"].outcome is Outcome.FAILS
    [note] = found.notes
    # 5000 psi = 344.7 bar (NIST SP 811 app. B), a rating, so rounded down
    assert "Ambrelle AQF-14" in note and "5000 psi (344 bar)" in note


def test_an_adapter_that_does_not_hold_the_pressure_is_not_proposed(small: SmallShop) -> None:
    gauge_shop(small, adapter_rating="3000 psi", needs_adapter=False)
    assert the_other().notes == ()


def test_no_adapter_is_proposed_where_more_than_the_thread_is_wrong(small: SmallShop) -> None:
    gauge_shop(small, needs_adapter=False)
    assert the_other().notes
    low = small.part("AGS-2", "gauge", maker="Ambrelle")
    small.claim(low, ClaimKind.PORT, "G 1/4 male, flat face", about="inlet")
    small.claim(low, ClaimKind.DIMENSION, "2000 psi", about="full_scale")
    asked = the_part("28-1").id
    small.edge(asked, low, "accepted", MEASURED)
    found = {c.number: c for c in instead(InsteadAsk("28-1", DAY)).candidates}
    assert found["AGS-2"].verdict is Verdict.DO_NOT_FIT
    assert found["AGS-2"].notes == ()


def test_a_valve_in_its_block_is_never_offered_an_adapter(small: SmallShop) -> None:
    asked = small.part("24-1", "valve kit", rating="3600 psi")
    other = small.part("CW 1", "valve kit", maker="Corrowby", rating="3600 psi")
    small.claim(other, ClaimKind.PORT, "G 1/4 male, flat face")
    adapter = small.part(
        "AQF-14", "fitting", maker="Ambrelle", rating="5000 psi", description="Adapter"
    )
    small.claim(adapter, ClaimKind.PORT, "1/4-18 NPT male")
    small.claim(adapter, ClaimKind.PORT, "G 1/4 female, flat face")
    small.edge(asked, other, "accepted", MEASURED)
    small.position(
        small.machine(), "valve", "valve kit", (asked,), "3300 psi", ports=("1/4-18 NPT female",)
    )
    [found] = instead(InsteadAsk("24-1", DAY)).candidates
    assert checks(found)["thread"].outcome is Outcome.FAILS
    assert found.notes == ()


def test_an_adapter_that_is_barred_or_failed_here_bars_the_part_that_needs_it(
    small: SmallShop,
) -> None:
    gauge_shop(small)
    adapter = the_part("AQF-14", "Ambrelle").id
    back = small.failed_here(adapter)
    assert the_other().verdict is Verdict.ASK_FIRST
    small.explained(back)
    assert the_other().verdict is Verdict.FIT_WITH_CONDITIONS
    small.grade("part", adapter, "barred")
    found = the_other()
    assert found.verdict is Verdict.DO_NOT_FIT
    assert "AQF-14 is barred here" in checks(found)["adapter grade"].text


@pytest.mark.parametrize(("day", "verdict"), [("2026-06-30", Verdict.FIT_WITH_CONDITIONS), (DAY, Verdict.ASK_FIRST)])  # fmt: skip
def test_an_adapter_on_a_paper_that_has_run_out_holds_nothing(small, day, verdict) -> None:
    gauge_shop(small, adapter_rating="")
    adapter = the_part("AQF-14", None).id
    small.claim(adapter, ClaimKind.RATING, "5000 psi", basis="working",
                source="certificate 3, valid to 2026-06-30")  # fmt: skip
    [found] = instead(InsteadAsk("28-1", day)).candidates
    assert found.verdict is verdict


@pytest.mark.parametrize(("condition", "outcome"), [("needs an adapter", Outcome.NOT_SHOWN), ("needs adaptor AQF-14", Outcome.MEETS)])  # fmt: skip
def test_an_adaptor_by_either_spelling_joins_the_chain_and_one_unnamed_is_unknown(
    small, condition, outcome
) -> None:
    gauge_shop(small, needs_adapter=False)
    asked, other = the_part("28-1", None).id, the_part("AGS-1", None).id
    small.edge(asked, other, "accepted", MEASURED, (condition,))
    found = the_other()
    name = "pressure adapter" if outcome is Outcome.MEETS else "adapter"
    assert checks(found)[name].outcome is outcome
    expected = Verdict.FIT_WITH_CONDITIONS if outcome is Outcome.MEETS else Verdict.DO_NOT_FIT
    assert found.verdict is expected  # without its adapter the G thread does not go into the NPT
