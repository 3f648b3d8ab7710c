"""Laws of the judge: less known, less strong or more asked never gives a better verdict."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import (
    EVIDENCE_RANK,
    Claim,
    ClaimKind,
    EvidenceLevel,
    KitItem,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.judge import judge
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import VERDICT_RANK, Outcome, Verdict, worst_outcome

LEVELS = st.sampled_from(list(EvidenceLevel))
WC = "tungsten carbide"


def claim(
    kind: str, value: str, about: str = "", level: EvidenceLevel = EvidenceLevel.MAKERS_DOCUMENT
) -> Claim:
    return Claim(
        ClaimKind(kind), value, level, about, "working" if kind == "rating" else "", "p. 3"
    )


# Claims that all speak for the part in the place below: taking any of them away is losing evidence.
SUPPORT = (
    claim("rating", "5000 psi"), claim("rating", "5000 psi", level=EvidenceLevel.SUPPLIERS_DOCUMENT),
    claim("port", "1/4-18 NPT male", "inlet"), claim("temperature", "60 °C"),
    claim("fluid", "mineral spirits"), claim("material", WC, "ball"), claim("material", WC, "seat"),
    claim("dimension", "16", "bore_mm"),
)  # fmt: skip
CONTENTS = (
    KitItem("Ball", "ball", 1, "wear item", WC), KitItem("Seat", "seat", 1, "wear item", WC),
    KitItem("Rod seal", "rod seal", 2, "wear item", "PTFE"),
    KitItem("Gland ring", "gland ring", 1, "wear item", "bronze"),
    KitItem("Collar", "collar", 1, "hardware"), KitItem("Sealant", "sealant", 1, "consumable"),
)  # fmt: skip
PLACE = PositionDemand(
    "Quillmere Q33", "bypass valve", "valve kit", demand("3300 psi"), 50, ("mineral spirits",),
    ("1/4-18 NPT female",), (("ball", WC), ("seat", WC)), (("bore_mm", "16"),), "aluminium",
)  # fmt: skip
ORIGINAL = PartFacts("Quillmere", "24-1180", "valve kit", "valve kit", SUPPORT, CONTENTS)
PART = replace(ORIGINAL, maker="Corrowby", number="CW 1")
CONDITIONS = st.lists(
    st.sampled_from(["from serial 4000", "only water-borne", "with sealant"]), max_size=3
)
EDGES = st.builds(
    lambda state, level, texts: StandsIn(
        ("Quillmere", "24-1180"), ("Corrowby", "CW 1"), state, level, tuple(texts), "QB-1"
    ),
    st.sampled_from(["accepted", "proposed", "rejected"]), LEVELS, CONDITIONS,
)  # fmt: skip
PARTS = st.builds(
    lambda kept, items: replace(PART, claims=tuple(kept), contents=tuple(items)),
    st.lists(st.sampled_from(SUPPORT), unique=True),
    st.lists(st.sampled_from(CONTENTS), unique=True),
)
BEST = StandsIn(
    ("Quillmere", "24-1180"),
    ("Corrowby", "CW 1"),
    "accepted",
    EvidenceLevel.MAKERS_DOCUMENT,
    source="QB-1",
)


def rank(part: PartFacts, edge: StandsIn = BEST, place: PositionDemand = PLACE) -> int:
    return VERDICT_RANK[judge(part, place, original=ORIGINAL, edge=edge).verdict]


def test_with_all_its_evidence_the_part_fits() -> None:
    assert judge(PART, PLACE, original=ORIGINAL, edge=BEST).verdict == Verdict.FIT


@given(PARTS, EDGES, st.data())
def test_taking_evidence_away_never_improves_the_verdict(part, edge, data) -> None:
    if not part.claims:
        return
    gone = data.draw(st.sampled_from(part.claims))
    less = replace(part, claims=tuple(each for each in part.claims if each != gone))
    assert rank(less, edge) >= rank(part, edge)


@given(PARTS, EDGES, st.data())
def test_taking_a_piece_out_of_the_kit_never_improves_the_verdict(part, edge, data) -> None:
    if not part.contents:
        return
    gone = data.draw(st.sampled_from(part.contents))
    less = replace(part, contents=tuple(each for each in part.contents if each != gone))
    assert rank(less, edge) >= rank(part, edge)


@given(PARTS, EDGES)
def test_contents_that_are_no_longer_stated_never_improve_on_a_kit_that_is_whole(
    part, edge
) -> None:
    whole = replace(part, contents=CONTENTS)
    assert rank(replace(part, contents=None), edge) >= rank(whole, edge)


@given(PARTS, EDGES, st.data())
def test_weakening_evidence_never_improves_the_verdict(part, edge, data) -> None:
    if not part.claims:
        return
    at = data.draw(st.integers(0, len(part.claims) - 1))
    level = data.draw(LEVELS)
    if EVIDENCE_RANK[level] < EVIDENCE_RANK[part.claims[at].evidence]:
        return
    claims = list(part.claims)
    claims[at] = replace(claims[at], evidence=level)
    assert rank(replace(part, claims=tuple(claims)), edge) >= rank(part, edge)


@given(PARTS, EDGES, st.integers(1000, 6000), st.integers(0, 3000))
def test_lowering_a_rating_never_improves_the_verdict(part, edge, psi, less) -> None:
    def rated(at: int) -> PartFacts:
        rest = tuple(each for each in part.claims if each.kind != "rating")
        return replace(part, claims=(*rest, claim("rating", f"{at} psi")))

    assert rank(rated(max(1, psi - less)), edge) >= rank(rated(psi), edge)


@given(PARTS, EDGES, st.integers(1000, 6000), st.integers(0, 3000))
def test_raising_the_demand_never_improves_the_verdict(part, edge, psi, more) -> None:
    low, high = (replace(PLACE, pressure=demand(f"{each} psi")) for each in (psi, psi + more))
    assert rank(part, edge, high) >= rank(part, edge, low)


@given(PARTS, EDGES, st.text(st.characters(codec="ascii", categories=["L", "N"]), min_size=1))
def test_a_condition_more_never_improves_the_verdict_and_is_always_shown(part, edge, text) -> None:
    bound = replace(edge, conditions=(*edge.conditions, text))
    assert rank(part, bound) >= rank(part, edge)
    found = judge(part, PLACE, original=ORIGINAL, edge=bound)
    if bound.state != "rejected":
        assert text in found.conditions


@given(PARTS, EDGES, st.integers(20, 120), st.integers(0, 60))
def test_a_hotter_place_never_improves_the_verdict(part, edge, temp_c, more) -> None:
    cool, hot = (replace(PLACE, temp_c_max=each) for each in (temp_c, temp_c + more))
    assert rank(part, edge, hot) >= rank(part, edge, cool)


@given(PARTS, EDGES, st.sampled_from(["", "A", "B", "C", "D"]))
def test_a_grade_never_improves_the_verdict_and_barred_always_fails(part, edge, grade) -> None:
    found = judge(part, PLACE, original=ORIGINAL, edge=edge, grade=grade)
    assert VERDICT_RANK[found.verdict] >= rank(part, edge)
    barred = judge(part, PLACE, original=ORIGINAL, edge=edge, grade="barred")
    assert barred.verdict == Verdict.DO_NOT_FIT


@given(PARTS, EDGES)
def test_the_verdict_is_that_of_the_worst_check(part, edge) -> None:
    found = judge(part, PLACE, original=ORIGINAL, edge=edge)
    worst = worst_outcome(found.checks)
    assert VERDICT_RANK[found.verdict] == list(Outcome).index(worst)
    if found.verdict == Verdict.FIT:
        assert found.conditions == ()
    assert set(found.conditions) >= {text for check in found.checks for text in check.conditions}


@given(PARTS, st.randoms())
def test_the_order_of_claims_and_contents_changes_nothing(part, random) -> None:
    claims, contents = list(part.claims), list(part.contents)
    random.shuffle(claims)
    random.shuffle(contents)
    mixed = replace(part, claims=tuple(claims), contents=tuple(contents))
    one, other = (judge(each, PLACE, original=ORIGINAL, edge=BEST) for each in (part, mixed))
    assert (one.verdict, one.missing, set(one.conditions)) == (
        other.verdict, other.missing, set(other.conditions)
    )  # fmt: skip


@given(
    st.text(max_size=30), st.sampled_from(list(ClaimKind)), LEVELS,
    st.sampled_from(["", "working", "burst", "proof", "?"]), st.sampled_from(["", "ball", "inlet"]),
)  # fmt: skip
def test_whatever_a_claim_says_the_judge_answers(value, kind, level, basis, about) -> None:
    odd = Claim(kind, value, level, about, basis)
    found = judge(replace(PART, claims=(*SUPPORT, odd)), PLACE, original=ORIGINAL, edge=BEST)
    assert all(check.text for check in found.checks)


@given(st.text(max_size=20), st.text(max_size=20))
def test_no_free_text_alone_makes_a_part_fit(description, role) -> None:
    """Design, rule 2: text finds candidates; facts decide."""
    bare = PartFacts("Corrowby", "CW 1", description, role)
    for place in (PLACE, replace(PLACE, role="hose"), replace(PLACE, role="nipple")):
        verdict = judge(bare, place).verdict
        assert verdict in (Verdict.ASK_FIRST, Verdict.DO_NOT_FIT)


@given(PARTS, EDGES, st.data(), st.sampled_from(["", "-", "n/a"]))
def test_a_source_that_goes_missing_never_improves_the_verdict(part, edge, data, nothing) -> None:
    at = data.draw(st.integers(-1, len(part.claims) - 1))
    if at < 0:
        assert rank(part, replace(edge, source=nothing)) >= rank(part, edge)
        return
    claims = list(part.claims)
    claims[at] = replace(claims[at], source=nothing)
    assert rank(replace(part, claims=tuple(claims)), edge) >= rank(part, edge)


@given(PARTS, EDGES, st.integers(0, 40), st.integers(0, 40))
def test_a_machine_that_reaches_more_never_improves_the_verdict(part, edge, percent, more) -> None:
    low, high = (replace(PLACE, overshoot_percent=str(each)) for each in (percent, percent + more))
    assert rank(part, edge, low) >= rank(part, edge)
    assert rank(part, edge, high) >= rank(part, edge, low)
    stalled = replace(PLACE, stall=demand(f"{3000 + 100 * more} psi"))
    assert rank(part, edge, stalled) >= rank(part, edge)


WORDS = st.text(st.characters(codec="utf-8", categories=["L", "N", "S"]), min_size=1, max_size=8)


@given(PARTS, EDGES, WORDS, st.sampled_from(["rating", "port", "temperature"]))
def test_a_word_more_beside_a_figure_never_improves_the_verdict(part, edge, word, kind) -> None:
    """Only the words that make a figure a proof or burst one speak at all, and against it."""
    said = tuple(
        replace(each, value=f"{each.value} {word}") if each.kind == kind else each
        for each in part.claims
    )
    assert rank(replace(part, claims=said), edge) >= rank(part, edge)


@given(PARTS, EDGES, st.sampled_from(["needs an adapter", "needs adaptor AQF-14", "mit Adapter 7"]))
def test_an_adapter_more_never_improves_the_verdict(part, edge, condition) -> None:
    bound = replace(edge, conditions=(*edge.conditions, condition))
    assert rank(part, bound) >= rank(part, edge)
