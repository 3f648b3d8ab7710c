"""What is not known of a part in use, ordered by what may happen (handbook 1.4: unknown is no pass)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.rules.certificates import on_day
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem, PartFacts
from partsdb.rules.unknowns import Harm, unknowns_of

MAKERS = EvidenceLevel.MAKERS_DOCUMENT


def claim(kind: ClaimKind, value: str, about: str = "", level: EvidenceLevel = MAKERS) -> Claim:
    return Claim(kind, value, level, about, source="QH-7, p. 3")


KNOWN = PartFacts(
    "Quillmere", "24-1180", "Valve kit", "valve kit",
    (
        claim(ClaimKind.RATING, "3300 psi"), claim(ClaimKind.PORT, "1/4-18 NPT male", "inlet"),
        claim(ClaimKind.MATERIAL, "tungsten carbide", "ball"),
        claim(ClaimKind.MATERIAL, "tungsten carbide", "seat"),
        claim(ClaimKind.FLUID, "water-borne"), claim(ClaimKind.TEMPERATURE, "60 °C"),
    ),
    (KitItem("Ball", "ball", 1, "wear item"),),
)  # fmt: skip


def about(part: PartFacts) -> set[str]:
    return {each.about for each in unknowns_of(part)}


def without(kind: ClaimKind, about: str = "") -> PartFacts:
    kept = [c for c in KNOWN.claims if not (c.kind is kind and (not about or c.about == about))]
    return replace(KNOWN, claims=tuple(kept))


def test_a_part_that_is_known_leaves_nothing_open():
    assert unknowns_of(KNOWN) == ()


@pytest.mark.parametrize(
    ("part", "what", "harm"),
    [
        (without(ClaimKind.RATING), "rating", Harm.INJURY),
        (without(ClaimKind.PORT), "thread", Harm.INJURY),
        (without(ClaimKind.MATERIAL, "seat"), "material", Harm.WEAR),
        (replace(KNOWN, contents=None), "contents", Harm.WEAR),
        (without(ClaimKind.FLUID), "fluid", Harm.LEAK),
        (without(ClaimKind.TEMPERATURE), "temperature", Harm.LEAK),
    ],
)
def test_each_gap_is_named_with_its_harm_and_what_settles_it(part, what, harm):
    [found] = unknowns_of(part)
    assert (found.about, found.harm) == (what, harm)
    assert found.settles and found.harm.what


@pytest.mark.parametrize(
    ("level", "is_open"),
    [
        (EvidenceLevel.SUPPLIERS_WORD, True), (EvidenceLevel.INFERRED, True),
        (EvidenceLevel.SUPPLIERS_DOCUMENT, False), (EvidenceLevel.MEASURED_HERE, False),
    ],
)  # fmt: skip
def test_a_rating_that_only_the_seller_states_is_not_known(level, is_open):
    part = without(ClaimKind.RATING)
    part = replace(part, claims=(*part.claims, claim(ClaimKind.RATING, "3300 psi", level=level)))
    assert ("rating" in about(part)) is is_open


def test_a_burst_pressure_is_no_rating_of_a_valve():
    part = without(ClaimKind.RATING)
    burst = replace(claim(ClaimKind.RATING, "13200 psi"), basis="burst")
    assert "rating" in about(replace(part, claims=(*part.claims, burst)))


def test_what_holds_no_pressure_needs_no_rating():
    assert unknowns_of(PartFacts("M", "1", "Handle", "handle")) == ()
    assert about(PartFacts("M", "1", "Ball", "ball")) == {"material"}
    steel = PartFacts("M", "1", "Ball", "ball", (claim(ClaimKind.MATERIAL, "440C"),))
    assert about(steel) == set()


def test_the_gravest_stands_first():
    harms = [each.harm for each in unknowns_of(PartFacts("M", "1", "Valve kit", "valve kit"))]
    assert harms == sorted(harms)
    assert harms[0] is Harm.INJURY and harms[-1] is Harm.WEAR


def test_a_role_that_nobody_knows_counts_as_holding_pressure():
    assert "rating" in about(PartFacts("M", "1", "thing", "thing"))


# Papers that have run out


def run_out(part: PartFacts, *kinds: ClaimKind) -> dict[str, Harm]:
    """What is not known of the part once the papers of those kinds have run out."""
    papered = replace(
        part,
        claims=tuple(
            replace(c, source="cert 9, valid until 2026-01-31") if c.kind in kinds else c
            for c in part.claims
        ),
    )
    aged = on_day(papered, "2026-02-01")
    found = unknowns_of(aged.part, aged.expired)
    assert all("a paper that has run out: cert 9" in each.text for each in found)
    assert unknowns_of(papered) == ()
    return {each.about: each.harm for each in found}


@pytest.mark.parametrize(
    ("kind", "harm"),
    [
        (ClaimKind.RATING, Harm.INJURY),
        (ClaimKind.PORT, Harm.INJURY),
        (ClaimKind.FLUID, Harm.LEAK),
        (ClaimKind.MATERIAL, Harm.LEAK),
    ],
)
def test_what_no_valid_paper_says_any_more_is_not_known(kind, harm):
    assert run_out(KNOWN, kind) == {str(kind): harm}


def test_another_paper_that_still_holds_is_enough():
    twice = replace(KNOWN, claims=(*KNOWN.claims, claim(ClaimKind.RATING, "3300 psi")))
    first = replace(twice.claims[0], source="cert 9, valid until 2026-01-31")
    aged = on_day(replace(twice, claims=(first, *twice.claims[1:])), "2026-02-01")
    assert aged.expired == (first,)
    assert unknowns_of(aged.part, aged.expired) == ()
