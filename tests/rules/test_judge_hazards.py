"""Every way to a wrong "fit" that we know: one change to a part that fits, and it fits no more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from partsdb.rules.certificates import on_day
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
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import VERDICT_RANK, Check, Outcome, Verdict

MAKER, WORD = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD
PAPER, GUESS = EvidenceLevel.SUPPLIERS_DOCUMENT, EvidenceLevel.INFERRED
WC = "tungsten carbide"


def claim(
    kind: str, value: str, about: str = "", *, level: EvidenceLevel = MAKER, basis: str = "",
    source: str = "QH-7, p. 3",
) -> Claim:  # fmt: skip
    basis = basis or ("working" if kind == "rating" else "")
    return Claim(ClaimKind(kind), value, level, about, basis, source)


HOSE = PartFacts(
    "Vossgrund", "V-1", "Hose, conductive, 1/4 in", "hose",
    (claim("rating", "5000 psi"), claim("port", "1/4-18 NPT male", "inlet"),
     claim("dimension", "6", "bore_mm"), claim("temperature", "60 °C"),
     claim("fluid", "water-borne"), claim("material", "316 stainless", "hose")),
)  # fmt: skip
HOSE_PLACE = PositionDemand(
    "Quillmere Q33", "hose", "hose", demand("3300 psi"), 50, ("water-borne",),
    ("1/4-18 NPT female",), (), (("bore_mm", "6"),), "carbon steel",
)  # fmt: skip
CONTENTS = (
    KitItem("Ball", "ball", 1, "wear item", WC, "3/8 in"),
    KitItem("Seat", "seat", 1, "wear item", WC, "3/8 in"),
    KitItem("Rod seal", "rod seal", 2, "wear item", "PTFE"),
)
KIT = PartFacts(
    "Corrowby", "CW 1", "Valve kit", "valve kit",
    (claim("rating", "5000 psi"), claim("port", "1/4-18 NPT male", "inlet"),
     claim("temperature", "60 °C"), claim("fluid", "mineral spirits"),
     claim("material", "316 stainless", "body")),
    CONTENTS,
)  # fmt: skip
ORIGINAL = replace(KIT, maker="Quillmere", number="24-1180")
KIT_PLACE = PositionDemand(
    "Quillmere Q33", "bypass valve", "valve kit", demand("3300 psi"), 50, ("mineral spirits",),
    ("1/4-18 NPT female",), (("ball", WC), ("seat", WC)), (), "aluminium",
)  # fmt: skip
EDGE = StandsIn(
    ("Quillmere", "24-1180"), ("Corrowby", "CW 1"), "accepted", MAKER, (), "QB-114, p. 2"
)


def hose(part: PartFacts = HOSE, place: PositionDemand = HOSE_PLACE) -> Judgement:
    return judge(part, place)


def kit(part: PartFacts = KIT, edge: StandsIn = EDGE, **more: object) -> Judgement:
    return judge(part, replace(KIT_PLACE, **more), original=ORIGINAL, edge=edge)


def with_claims(part: PartFacts, *more: Claim, but: str = "") -> PartFacts:
    kept = tuple(each for each in part.claims if each.kind != but)
    return replace(part, claims=(*kept, *more))


def rated(value: str, basis: str = "working", **more: object) -> PartFacts:
    return with_claims(HOSE, claim("rating", value, basis=basis, **more), but="rating")


def ported(value: str, **more: object) -> PartFacts:
    return with_claims(HOSE, claim("port", value, "inlet", **more), but="port")


def place(**more: object) -> PositionDemand:
    return replace(HOSE_PLACE, **more)


def named(found: Judgement, name: str) -> Check:
    return next(check for check in found.checks if check.check == name)


def test_what_the_changes_below_start_from_fits() -> None:
    assert (hose().verdict, hose().conditions) == (Verdict.FIT, ())
    assert (kit().verdict, kit().conditions) == (Verdict.FIT, ())


ASK, NO = Verdict.ASK_FIRST, Verdict.DO_NOT_FIT
CONDITIONS = Verdict.FIT_WITH_CONDITIONS
Way = tuple[str, Callable[[], Judgement], Verdict, str, str]

# What was changed, the verdict that it may get at best, the check that says so and its code.
PRESSURE: list[Way] = [
    ("no rating", lambda: hose(with_claims(HOSE, but="rating")), ASK, "pressure", "PRESSURE_UNKNOWN"),
    ("no unit", lambda: hose(rated("5000")), ASK, "pressure", "UNIT_AMBIGUOUS"),
    ("words for a rating", lambda: hose(rated("heavy duty")), ASK, "pressure", "UNIT_AMBIGUOUS"),
    ("too low", lambda: hose(rated("3000 psi")), NO, "pressure", "PRESSURE_LOW"),
    ("one psi short", lambda: hose(rated("3299 psi")), NO, "pressure", "PRESSURE_LOW"),
    ("rounded up: 228 bar is 3306 psi", lambda: hose(rated("227 bar")), CONDITIONS, "pressure", "DUAL_UNIT_ROUNDING"),
    ("20 MPa is 2900 psi", lambda: hose(rated("20 MPa")), NO, "pressure", "PRESSURE_LOW"),
    ("230 kg is not 230 bar", lambda: hose(rated("230 kg")), NO, "pressure", "PRESSURE_LOW"),
    ("burst for a rating", lambda: hose(rated("12000 psi", "burst")), NO, "pressure", "PRESSURE_LOW"),
    ("burst, however high", lambda: hose(rated("40000 psi", "burst")), ASK, "pressure", "BURST_ONLY"),
    ("burst named in the text", lambda: hose(rated("20000 psi burst")), ASK, "pressure", "BURST_ONLY"),
    ("burst and rating alike", lambda: hose(with_claims(HOSE, claim("rating", "5000 psi", basis="burst"))), NO, "pressure", "PRESSURE_LOW"),
    ("a seller's own ratio", lambda: hose(with_claims(HOSE, claim("rating", "12000 psi", basis="burst"))), ASK, "pressure", "EVIDENCE_WEAK"),
    ("proof for a rating", lambda: hose(rated("9000 psi", "proof")), ASK, "pressure", "PRESSURE_UNKNOWN"),
    ("proof too near", lambda: hose(with_claims(HOSE, claim("rating", "6000 psi", basis="proof"))), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a seller's word", lambda: hose(rated("5000 psi", level=WORD)), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a guess", lambda: hose(rated("5000 psi", level=GUESS)), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a seller's document", lambda: hose(rated("5000 psi", level=PAPER)), CONDITIONS, "pressure", ""),
    ("no source", lambda: hose(rated("5000 psi", source="")), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a source that is none", lambda: hose(rated("5000 psi", source="n/a")), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a paper run out", lambda: hose(on_day(rated("5000 psi", source="cert. 4, valid to 2026-06-30"), "2026-11-20").part), ASK, "pressure", "EVIDENCE_WEAK"),
    ("absolute: 3310 psia are 3295 psi", lambda: hose(rated("3310 psia")), NO, "pressure", "PRESSURE_LOW"),
    ("absolute, high enough", lambda: hose(rated("5000 psia")), CONDITIONS, "pressure", ""),
    ("bar for psi", lambda: hose(rated("3300 bar")), ASK, "pressure", "UNIT_AMBIGUOUS"),
    ("MPa for bar", lambda: hose(rated("228 MPa"), place(pressure=demand("228 bar"))), ASK, "pressure", "UNIT_AMBIGUOUS"),
    ("a label that contradicts itself", lambda: hose(rated("3600 psi / 207 bar")), NO, "pressure", "DUAL_UNIT_ROUNDING"),
    ("a label that contradicts itself above", lambda: hose(rated("5000 psi / 250 bar")), CONDITIONS, "pressure", "DUAL_UNIT_ROUNDING"),
    ("two figures without a word", lambda: hose(rated("3000 or 5000 psi")), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a footnote", lambda: hose(rated("5000 psi*")), ASK, "pressure", "EVIDENCE_WEAK"),
    ("peak", lambda: hose(rated("5000 psi peak")), ASK, "pressure", "EVIDENCE_WEAK"),
    ("a later claim, lower", lambda: hose(with_claims(HOSE, claim("rating", "3000 psi", source="QH-8"))), NO, "pressure", "PRESSURE_LOW"),
    ("a later claim, lower, hearsay", lambda: hose(with_claims(HOSE, claim("rating", "3000 psi", level=WORD))), NO, "pressure", "PRESSURE_LOW"),
    ("a later claim that nobody can read", lambda: hose(with_claims(HOSE, claim("rating", "3000", source="QH-8"))), ASK, "pressure", "UNIT_AMBIGUOUS"),
    ("the stalled pump", lambda: hose(HOSE, place(stall=demand("5100 psi"))), NO, "pressure", "PRESSURE_LOW"),
    ("the regulator's overshoot", lambda: hose(rated("3600 psi"), place(overshoot_percent="10")), NO, "pressure", "PRESSURE_LOW"),
    ("a place without its pressure", lambda: hose(HOSE, place(pressure=None)), ASK, "pressure", "PRESSURE_UNKNOWN"),
    ("steam", lambda: hose(with_claims(rated("5000 psi"), claim("rating", "20000 psi", basis="burst"), claim("fluid", "steam")), place(fluids=("steam",))), ASK, "pressure", "EVIDENCE_WEAK"),
]  # fmt: skip
HEAT: list[Way] = [
    ("too hot", lambda: hose(HOSE, place(temp_c_max=61)), NO, "temperature", "TEMP_LOW"),
    ("no limit stated", lambda: hose(with_claims(HOSE, but="temperature")), ASK, "temperature", "TEMP_UNKNOWN"),
    ("above the curve", lambda: hose(metal_hose(), place(temp_c_max=250)), ASK, "pressure", "TEMP_UNKNOWN"),
    ("derated by the curve", lambda: hose(metal_hose(), place(temp_c_max=100, pressure=demand("4000 psi"))), NO, "pressure", "PRESSURE_LOW"),
    ("a curve, and the heat not recorded", lambda: hose(metal_hose(), place(temp_c_max=None)), ASK, "pressure", "TEMP_UNKNOWN"),
    ("a pressure read as a temperature", lambda: hose(with_claims(HOSE, claim("temperature", "60 °C at 200 bar"), but="temperature"), place(temp_c_max=100)), ASK, "temperature", "TEMP_UNKNOWN"),
    ("another fluid's limit", lambda: hose(with_claims(HOSE, claim("temperature", "water 60 °C, oil 100 °C"), but="temperature"), place(temp_c_max=80)), ASK, "temperature", "TEMP_UNKNOWN"),
    ("a seller's word for the heat", lambda: hose(with_claims(HOSE, claim("temperature", "90 °C", level=WORD), but="temperature")), ASK, "temperature", "EVIDENCE_WEAK"),
]  # fmt: skip
LOOK_ALIKES = [
    ("1/4-18 NPT female", "G 1/4 male", "THREAD_NO_SEAL"),
    ("3/8-18 NPT female", "3/8-19 BSP male", "THREAD_NO_SEAL"),
    ("1/2-14 NPT female", "G 1/2 male", "THREAD_DANGER"),
    ("G 1/4 female", "M14x1.5 male", "THREAD_DANGER"),
    ("M14x1.5 female", "G 1/4 male", "THREAD_DANGER"),
    ("M14x1.5 female", "9/16-18 JIC male", "THREAD_DANGER"),
    ("7/16-20 JIC male", "7/16-20 SAE 45° female", "THREAD_DANGER"),
    ("7/16-20 JIC male", "7/16-20 SAE 45 female", "THREAD_DANGER"),
    ("3/4-16 ORB female", "3/4-16 JIC male", "THREAD_DANGER"),
    ("G 1/2 female", "7/8-14 UNF male", "THREAD_DANGER"),
    ("M27x2 female", "1 1/16-12 JIC male", "THREAD_DANGER"),
    ("Rc 1/4", "1/4 NPT male", "THREAD_NO_SEAL"),
    ("G 1/4 female", "R 1/4", "THREAD_NO_SEAL"),
    ("1/8-27 NPT female", "M10x1 male", "THREAD_DANGER"),
    ("M22x1.5 female, 15 mm plug", "M22x1.5 male, 14 mm plug", "THREAD_NO_SEAL"),
    ("1/4-18 NPT female", "3/8-18 NPT male", "NEEDS_ADAPTER"),
    ("1/4-18 NPT female", "1/4-18 NPT female", "NEEDS_ADAPTER"),
]
THREADS: list[Way] = [
    ("no thread stated", lambda: hose(with_claims(HOSE, but="port")), ASK, "thread", ""),
    ("the machine's not stated", lambda: hose(HOSE, place(ports=())), ASK, "thread", ""),
    ("a seller's word", lambda: hose(ported("1/4-18 NPT male", level=WORD)), CONDITIONS, "thread", "NEEDS_SEALANT"),
    ("a thread of no source", lambda: hose(ported("1/4-18 NPT male", source="")), CONDITIONS, "thread", "NEEDS_SEALANT"),
    ("one of two", lambda: hose(ported("1/4 NPT or G 1/4 male")), ASK, "thread", "EVIDENCE_WEAK"),
    ("not that one", lambda: hose(ported("not 1/4 NPT male")), ASK, "thread", "EVIDENCE_WEAK"),
    ("left-hand", lambda: hose(ported("1/4 NPT male, left hand")), ASK, "thread", "EVIDENCE_WEAK"),
    ("another cone beside the port", lambda: hose(ported("G 1/2 female", basis="30° cone"), place(ports=("G 1/2 male, 60° cone",))), NO, "thread", "THREAD_NO_SEAL"),
    ("a document that nobody can read, and a seller who can", lambda: hose(with_claims(ported("special 14.5"), claim("port", "1/4-18 NPT male", level=WORD))), ASK, "thread", ""),
    ("documents that disagree", lambda: hose(with_claims(HOSE, claim("port", "G 1/4 male", "inlet", source="QH-8"))), NO, "thread", "THREAD_NO_SEAL"),
    ("documents that disagree on a like thread", lambda: hose(with_claims(HOSE, claim("port", "1/4 NPTF male", "inlet", source="QH-8"))), ASK, "thread", "EVIDENCE_WEAK"),
    ("a seller who names a look-alike", lambda: hose(with_claims(HOSE, claim("port", "G 1/4 male", level=WORD))), ASK, "thread", "EVIDENCE_WEAK"),
]  # fmt: skip
MAKE: list[Way] = [
    ("a softer ball", lambda: kit(in_kit("ball", "440C")), NO, "material ball", "MATERIAL_DOWNGRADE"),
    ("a softer seat", lambda: kit(in_kit("seat", "440C")), NO, "material seat", "MATERIAL_DOWNGRADE"),
    ("carbide of no grade", lambda: kit(in_kit("ball", "carbide")), ASK, "material ball", ""),
    ("a ball of nothing stated", lambda: kit(in_kit("ball", "")), ASK, "material ball", ""),
    ("coated", lambda: kit(in_kit("ball", "carbide coated steel")), ASK, "material ball", ""),
    ("a guess", lambda: kit(in_kit("ball", "tungsten carbide?")), ASK, "material ball", ""),
    ("a footnote", lambda: kit(in_kit("seat", "tungsten carbide*")), ASK, "material seat", ""),
    ("a seal with a question mark", lambda: kit(without_fluid(in_kit("rod seal", "PTFE?"))), ASK, "fluid mineral spirits", "FLUID_UNKNOWN"),
    ("seals that the fluid eats", lambda: kit(without_fluid(in_kit("rod seal", "EPDM"))), NO, "fluid mineral spirits", "FLUID_BAD"),
    ("NBR in xylene", lambda: kit(without_fluid(in_kit("rod seal", "NBR")), fluids=("xylene",)), NO, "fluid xylene", "FLUID_BAD"),
    ("FKM in acetone", lambda: kit(without_fluid(in_kit("rod seal", "FKM")), fluids=("acetone",)), NO, "fluid acetone", "FLUID_BAD"),
    ("a document that says not for it", lambda: kit(with_claims(KIT, claim("fluid", "not for white spirit"))), NO, "fluid mineral spirits", "FLUID_BAD"),
    ("a fluid that only a seller names", lambda: hose(with_claims(HOSE, claim("fluid", "water-borne", level=WORD), but="fluid")), ASK, "fluid water-borne", "FLUID_UNKNOWN"),
    ("a chlorinated solvent and aluminium", lambda: kit(fluids=("methylene chloride",)), NO, "fluid methylene chloride", "HHC_ALUMINIUM"),
    ("the solvent under its German name", lambda: kit(fluids=("CKW Reiniger",)), NO, "fluid CKW Reiniger", "HHC_ALUMINIUM"),
    ("the solvent and a zinc-plated piece", lambda: hose(with_claims(HOSE, claim("material", "zinc-plated steel", "hose"), but="material"), place(fluids=("DCM",))), NO, "fluid DCM", "HHC_ALUMINIUM"),
    ("the solvent and a piece of nothing stated", lambda: hose(with_claims(HOSE, but="material"), place(fluids=("DCM",))), ASK, "fluid DCM", "HHC_ALUMINIUM"),
    ("the solvent and a block of nothing stated", lambda: hose(HOSE, place(fluids=("DCM",), block_material="")), ASK, "fluid DCM", "HHC_ALUMINIUM"),
    ("a fluid that nobody knows, and aluminium", lambda: kit(fluids=("cold cleaner X",)), ASK, "fluid cold cleaner X", "FLUID_UNKNOWN"),
]  # fmt: skip
SOLVENT = place(fluids=("mineral spirits",))
SPARKS: list[Way] = [
    ("a hose that nobody calls conductive", lambda: spray(description="Hose 1/4 in"), ASK, "conductive", "FLUID_UNKNOWN"),
    ("a hose that its description calls conductive", lambda: spray(), CONDITIONS, "conductive", ""),
    ("a hose that a seller calls conductive", lambda: spray(claim("dimension", "yes", "conductive", level=WORD)), CONDITIONS, "conductive", ""),
    ("a hose stated not to be conductive", lambda: spray(claim("material", "non-conductive thermoplastic", "hose")), NO, "conductive", "FLUID_BAD"),
    ("a hose whose description says not", lambda: spray(description="Hose, not conductive"), NO, "conductive", "FLUID_BAD"),
    ("a hose for a fluid that nobody knows", lambda: hose(with_claims(replace(HOSE, description=""), claim("fluid", "primer X")), place(fluids=("primer X",))), ASK, "conductive", "FLUID_UNKNOWN"),
]  # fmt: skip
STANDING: list[Way] = [
    ("only proposed", lambda: kit(edge=replace(EDGE, state="proposed")), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("rejected", lambda: kit(edge=replace(EDGE, state="rejected")), NO, "equivalence", ""),
    ("accepted on a seller's document", lambda: kit(edge=replace(EDGE, evidence=PAPER)), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("accepted, and no source", lambda: kit(edge=replace(EDGE, source="")), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("an approval of another part", lambda: kit(edge=replace(EDGE, fitted=("Corrowby", "CW 2"))), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("a likeness of text alone", lambda: judge(replace(KIT, description=ORIGINAL.description), KIT_PLACE, original=ORIGINAL), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("a path of approvals", lambda: judge(KIT, KIT_PLACE, original=ORIGINAL, path=(replace(EDGE, fitted=("M", "1")), replace(EDGE, asked=("M", "1")))), ASK, "equivalence", "EVIDENCE_WEAK"),
    ("from a serial on", lambda: kit(edge=replace(EDGE, conditions=("from serial 4000",))), CONDITIONS, "equivalence", "SERIAL_RANGE"),
    ("for less pressure than there is", lambda: kit(edge=replace(EDGE, conditions=("water-borne paints below 2000 psi only",))), NO, "condition", "PRESSURE_LOW"),
    ("for less heat than there is", lambda: kit(edge=replace(EDGE, conditions=("only up to 40 °C",))), NO, "condition", "TEMP_LOW"),
    ("for as much pressure as there is", lambda: kit(edge=replace(EDGE, conditions=("not above 3300 psi",))), CONDITIONS, "equivalence", ""),
    ("from a pressure on", lambda: kit(edge=replace(EDGE, conditions=("only above 1000 psi",))), CONDITIONS, "equivalence", ""),
    ("with an adapter that nobody names", lambda: kit(edge=replace(EDGE, conditions=("needs an adaptor",))), ASK, "adapter", "NEEDS_ADAPTER"),
    ("with an adaptor that nobody knows", lambda: kit(edge=replace(EDGE, conditions=("needs adaptor AQF-14",))), ASK, "pressure adapter", "PRESSURE_UNKNOWN"),
    ("contents not stated", lambda: kit(replace(KIT, contents=None)), ASK, "contents", "KIT_INCOMPLETE"),
    ("contents by a seller", lambda: kit(replace(KIT, contents_evidence=WORD)), CONDITIONS, "contents", ""),
    ("without its seat", lambda: kit(replace(KIT, contents=CONTENTS[::2])), NO, "contents", "KIT_INCOMPLETE"),
    ("a smaller ball", lambda: kit(replace(KIT, contents=(replace(CONTENTS[0], size="1/4 in"), *CONTENTS[1:]))), NO, "size ball", ""),
    ("another bore", lambda: hose(with_claims(HOSE, claim("dimension", "5", "bore_mm"), but="dimension")), NO, "size bore_mm", ""),
    ("no bore stated", lambda: hose(with_claims(HOSE, but="dimension")), ASK, "size bore_mm", ""),
    ("another kind of piece", lambda: hose(replace(HOSE, role="gun")), NO, "role", ""),
    ("barred", lambda: judge(HOSE, HOSE_PLACE, grade="barred"), NO, "grade", "SUPPLIER_BLOCKED"),
]  # fmt: skip


def spray(*more: Claim, description: str = HOSE.description) -> Judgement:
    part = with_claims(HOSE, claim("fluid", "mineral spirits"), *more)
    return hose(replace(part, description=description), SOLVENT)


def metal_hose() -> PartFacts:
    return with_claims(
        with_claims(HOSE, claim("temperature", "at 20 °C"), but="temperature"),
        claim("material", "316 corrugated metal", "hose"),
    )


def in_kit(role: str, material: str) -> PartFacts:
    return replace(
        KIT,
        contents=tuple(
            replace(item, material=material) if item.role == role else item for item in CONTENTS
        ),
    )


def without_fluid(part: PartFacts) -> PartFacts:
    return with_claims(part, but="fluid")


EVERY = [*PRESSURE, *HEAT, *THREADS, *MAKE, *SPARKS, *STANDING]


@pytest.mark.parametrize(
    ("what", "found", "best", "name", "code"), EVERY, ids=[e[0] for e in EVERY]
)
def test_no_way_leads_to_a_wrong_fit(
    what: str, found: Callable[[], Judgement], best: Verdict, name: str, code: str
) -> None:
    """Handbook 1 to 4; the figures by hand, with the units of NIST SP 811."""
    judged = found()
    check = named(judged, name)
    assert VERDICT_RANK[judged.verdict] >= VERDICT_RANK[best], what
    assert check.code == code
    assert check.outcome is not Outcome.MEETS
    if best is CONDITIONS:
        assert judged.conditions
    if judged.verdict is Verdict.DO_NOT_FIT:
        assert best is NO, check.text


@pytest.mark.parametrize(("machine", "port", "code"), LOOK_ALIKES)
def test_a_look_alike_thread_fails_by_its_name(machine: str, port: str, code: str) -> None:
    """Handbook 2.1 and 2.2."""
    judged = hose(ported(port), place(ports=(machine,)))
    check = named(judged, "thread")
    assert (judged.verdict, check.outcome, check.code) == (NO, Outcome.FAILS, code)


@pytest.mark.parametrize("fluid", ["cold cleaner X", "CKW Reiniger", "paint stripper"])
def test_the_parts_list_does_not_speak_for_a_fluid_that_may_be_a_solvent(fluid: str) -> None:
    """Handbook 3.2: a hard stop, even for the very part called for."""
    found = judge(ORIGINAL, replace(KIT_PLACE, fluids=(fluid,)), original=ORIGINAL)
    assert VERDICT_RANK[found.verdict] >= VERDICT_RANK[ASK]


def test_what_flows_through_an_adapter_of_nothing_stated_may_react_with_it() -> None:
    edge = replace(EDGE, conditions=("needs adapter AQF-14",))
    steel = replace(KIT_PLACE, block_material="carbon steel", fluids=("DCM",))
    adapter = PartFacts(
        "Ambrelle", "AQF-14", "", "fitting",
        (claim("rating", "5000 psi"), claim("port", "1/4 NPT male"), claim("port", "1/4 NPT female")),
    )  # fmt: skip
    bare = with_claims(adapter, claim("material", "brass"))
    kit_of_steel = replace(
        KIT, contents=tuple(replace(i, material=i.material or "316") for i in CONTENTS)
    )
    for made, outcome in ((adapter, Outcome.NOT_SHOWN), (bare, Outcome.NOT_SHOWN)):
        found = judge(kit_of_steel, steel, original=ORIGINAL, edge=edge, adapter=made)
        code = named(found, "fluid DCM").code
        assert named(found, "fluid DCM").outcome is outcome
        assert code == ("HHC_ALUMINIUM" if made is adapter else "FLUID_UNKNOWN")
