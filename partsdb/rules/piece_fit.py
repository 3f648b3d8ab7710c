"""May a loose part stand for one item of a kit? Its size and material must be stated on both sides.

A kit's own number is approved as a whole; a loose piece has no such approval, so it must be the
same piece by what documents say of it, or be accepted for the kit by a person.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from partsdb.rules.equivalence import check_edge
from partsdb.rules.facts import (
    Claim,
    ClaimKind,
    EvidenceLevel,
    KitItem,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.judge import Judgement, judge
from partsdb.rules.judge.case import claims_of, evidence_of, key_of, weakest
from partsdb.rules.kits import sides_of
from partsdb.rules.roles import role_named
from partsdb.rules.sizes import check_size
from partsdb.rules.surges import highest_demand
from partsdb.rules.verdict import Check, Outcome, verdict_of

# Names of dimensions that tell which size of a piece it is.
_TELLING = ("diameter", "diameter_mm", "rod_mm", "dash", "size")


def judge_piece(
    item: KitItem, part: PartFacts, kit: PartFacts, place: PositionDemand, edge: StandsIn | None
) -> Judgement:
    """Return whether `part` may be fitted as the `item` of `kit` in the place.

    `edge` is what a person decided about the part for the kit, None where nobody did.
    """
    standing = _standing(item, part, edge)
    assumed = StandsIn(
        key_of(kit), key_of(part), "accepted", EvidenceLevel.MAKERS_DOCUMENT, standing.conditions,
        standing.evidence,
    )  # fmt: skip
    is_shown = standing.outcome in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)
    found = judge(part, _demand(item, place), edge=assumed if is_shown else None)
    checks = tuple(_own_words(check, item, standing) for check in found.checks)
    conditions = tuple(dict.fromkeys(text for check in checks for text in check.conditions))
    return replace(found, verdict=verdict_of(checks), checks=checks, conditions=conditions)


def _demand(item: KitItem, place: PositionDemand) -> PositionDemand:
    soft = role_named(item.role).has_soft_parts
    return PositionDemand(
        machine=place.machine,
        position=f"{place.position} ({item.item})".strip(),
        role=item.role,
        pressure=highest_demand(place),
        temp_c_max=place.temp_c_max if soft else None,
        fluids=place.fluids,
        materials=((item.role, item.material),) if item.material else (),
        block_material=place.block_material,
    )


def _own_words(check: Check, item: KitItem, standing: Check) -> Check:
    if check.check == "equivalence":
        return standing
    if check.check == "pressure" and check.outcome is Outcome.MEETS and not check.code:
        text = f"a {item.role} has no rating of its own: it is the same piece as the kit's"
        return replace(check, text=text) if not role_named(item.role).holds_pressure else check
    return check


def _standing(item: KitItem, part: PartFacts, edge: StandsIn | None) -> Check:
    """Return what shows that the part is the item: a decision, or the same documented size."""
    if edge is not None and edge.state != "proposed":
        return check_edge(edge, item.role)
    name, source = "equivalence", "common practice, no source"
    if sides_of(item.item) != sides_of(part.description):
        text = f"{part.description or part.number} is not told to be the {item.item}"
        return Check(name, Outcome.NOT_SHOWN, text, source, "EVIDENCE_WEAK")
    if role_named(item.role).kind == "consumable":
        condition = f"use {part.maker} {part.number} as the kit's own sheet says for {item.item}"
        outcome = Outcome.MEETS_WITH_CONDITIONS
        return Check(name, outcome, f"a {item.role} is a consumable", source, "", (condition,))
    if not item.size:
        text = (
            f"the kit's list states no size for its {item.item}, so no loose {item.role} can be "
            "shown to be it"
        )
        return Check(name, Outcome.NOT_SHOWN, text, source, "EVIDENCE_WEAK")
    return _by_size(item, part)


def _by_size(item: KitItem, part: PartFacts) -> Check:
    stated = [c for c in claims_of(part, ClaimKind.DIMENSION) if c.about in _TELLING]
    if not stated:
        text = f"its size is not stated, and the {item.item} is {item.size}"
        return Check("equivalence", Outcome.NOT_SHOWN, text, "", "EVIDENCE_WEAK")
    found = [(check_size(item.item, item.size, _written(claim)), claim) for claim in stated]
    same = [claim for check, claim in found if check.outcome is Outcome.MEETS]
    if not same:
        return replace(found[0][0], check="equivalence")
    if odd := _at_odds(found, {claim.about for claim in same}):
        text = f"its size is stated as {_written(same[0])} and as {odd}: ask which is right"
        return Check("equivalence", Outcome.NOT_SHOWN, text, evidence_of(same[0]), "EVIDENCE_WEAK")
    if weakest(same) in (EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.INFERRED):
        text = f"its size is {_written(same[0])} only by {weakest(same)}"
        return Check("equivalence", Outcome.NOT_SHOWN, text, evidence_of(same[0]), "EVIDENCE_WEAK")
    condition = f"compare {part.maker} {part.number} with the old {item.item} before it is fitted"
    return Check(
        "equivalence",
        Outcome.MEETS_WITH_CONDITIONS,
        f"the same {item.role}: {_written(same[0])}, and {item.size} in the kit",
        evidence_of(same[0]),
        conditions=(condition,),
    )


def _at_odds(found: Sequence[tuple[Check, Claim]], names: Collection[str]) -> str:
    """Return a size that contradicts another of the same name, "" where none does."""
    differs = (Outcome.FAILS, Outcome.NOT_SHOWN)
    odd = (claim for check, claim in found if claim.about in names and check.outcome in differs)
    return next(map(_written, odd), "")


def _written(claim: Claim) -> str:
    """Return the size with its unit, which may stand in the name of the dimension."""
    is_plain = claim.value.replace(".", "", 1).isdecimal()
    return f"{claim.value} mm" if claim.about.endswith("_mm") and is_plain else claim.value
