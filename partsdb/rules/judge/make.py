"""Is the part made of what the position and its fluids ask for?"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from partsdb.rules import materials, seals
from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, EvidenceLevel, PartFacts
from partsdb.rules.judge.case import (
    Case,
    Made,
    claims_of,
    evidence_of,
    is_hearsay,
    made_of,
    materials_for,
    to_confirm,
)
from partsdb.rules.memo import once_per_object
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import GRAVITY, Check, Outcome
from partsdb.rules.words import plain_words

# Pieces whose material must be known even where somebody has approved the part.
_ALWAYS_KNOWN = frozenset({"ball", "seat"})


def material_checks(case: Case) -> list[Check]:
    """Return one check for every piece whose material is called for, the worst of its findings."""
    called = _compared(case.called_for)
    roles = {role for role, _ in case.demand.materials} | {made.role for made in called}
    if not roles:
        return []
    checks = []
    for role in sorted(roles):
        least = [material for wanted, material in case.demand.materials if wanted == role]
        was = [made.material for made in materials_for(role, called)]
        checks += _material_check(case, role, _pairs(least, was, materials_for(role, case.offered)))
    return checks


def _compared(made: tuple[Made, ...]) -> list[Made]:
    # Pins, collars and handles are compared by eye; their material carries nothing.
    kinds = ("wear item", "pressure boundary")
    return [each for each in made if role_named(each.role).kind in kinds]


def _pairs(least: list[str], was: list[str], offered: list[Made]) -> list[tuple[str, Made | None]]:
    """Return what must be compared: everything with the least acceptable, and new with old.

    A piece that comes in two materials is met when both are there; one that is missing, or
    new, is compared with all of the other side.
    """
    if not offered:
        return [(material, None) for material in (least or was)[:1]]
    pairs: list[tuple[str, Made | None]] = [(wanted, made) for wanted in least for made in offered]
    old, new = [_name(each) for each in was], [_name(made.material) for made in offered]
    for material, before in zip(was, old, strict=True):
        for made, now in zip(offered, new, strict=True):
            if before == now or not (before in new and now in old):
                pairs.append((material, made))
    return pairs


def _name(material: str) -> str:
    return materials.canonical(material) or material.lower()


def _material_check(case: Case, role: str, pairs: list[tuple[str, Made | None]]) -> list[Check]:
    if all(made is None for _, made in pairs) and _needs_no_material(case, role):
        return []
    block = case.demand.block_material
    found = [
        _substitution(role, wanted, (made.material, made.level) if made else None, block)
        for wanted, made in pairs
    ]
    if not found:
        return []
    worst = max(range(len(found)), key=lambda place: _gravity(found[place]))
    check, made = found[worst], pairs[worst][1]
    evidence = made.evidence if made and made.evidence else check.evidence
    conditions = _all_conditions(found)
    return [Check(f"material {role}", check.outcome, check.text, evidence, check.code, conditions)]


@lru_cache(maxsize=4096)
def _substitution(
    role: str, wanted: str, offered: tuple[str, EvidenceLevel] | None, block: str
) -> Check:
    """Return what a material comes to; where it is hearsay, with the material to be confirmed."""
    if offered is None:
        return materials.check_material(role, wanted, "", block_material=block)
    material, level = offered
    check = materials.check_material(role, wanted, material, block_material=block)
    return to_confirm(check, level, f"confirm that the {role} is {material}")


def _gravity(check: Check) -> tuple[int, int]:
    return GRAVITY[check.outcome], len(check.conditions)


def _all_conditions(found: list[Check]) -> tuple[str, ...]:
    if not any(check.conditions for check in found):
        return ()
    return tuple(dict.fromkeys(text for check in found for text in check.conditions))


def _needs_no_material(case: Case, role: str) -> bool:
    if case.is_very_part:
        return True
    needed = {item.role for item in (case.original.contents if case.original else None) or ()}
    brings = {item.role for item in case.part.contents or ()}
    if case.part.contents is not None and role in needed - brings:
        return True  # the check of the contents names it as missing
    return case.is_approved and role not in _ALWAYS_KNOWN


def fluid_checks(case: Case) -> list[Check]:
    """Return one check for every fluid of the position: what it wets stands it, or not shown."""
    if case.role.kind in ("hardware", "consumable", "none"):
        return []
    if not case.demand.fluids:
        return []
    metals = _metals(case)
    return [_fluid_check(case, fluid, metals) for fluid in case.demand.fluids]


def _metals(case: Case) -> tuple[str, ...]:
    """Return every material that a fluid of the position meets, block and pieces alike.

    "" stands for a piece whose material nobody states: it may be aluminium or galvanised.
    """
    found = {case.demand.block_material, *(made.material for made in case.offered)}
    if _has_unstated(case.part):
        found.add("")
    if case.adapter_needed and not case.is_very_part:
        adapter = made_of(case.adapter) if case.adapter else ()
        found |= {made.material for made in adapter} or {""}
    return tuple(sorted(found))


@once_per_object
def _has_unstated(part: PartFacts) -> bool:
    """Say whether a piece of the part is made of what nobody states."""
    if part.contents is None:
        named = {made.role for made in made_of(part)}
        return part.role not in named and not named & _BODIES
    pieces = {item.role for item in part.contents if role_named(item.role).kind != "consumable"}
    return bool(pieces - {made.role for made in made_of(part)})


# What a valve or gun is mostly made of is claimed of its body.
_BODIES = frozenset({"valve body", "pump block"})


def _fluid_check(case: Case, fluid: str, metals: tuple[str, ...]) -> Check:
    stop = _hard_stop(fluid, metals) or _refused(case, fluid)
    if stop:
        return stop
    temp_c = case.demand.temp_c_max
    soft = [made for made in case.offered if _is_soft(made)]
    found = [(_in_fluid(made.material, fluid, temp_c), made.evidence) for made in soft]
    approved = _approved(case, fluid)
    if approved:
        # The maker's word for the fluid stands in for letters from memory, not for a hard "no".
        found = [each for each in found if each[0].outcome == Outcome.FAILS]
        found.append((approved, approved.evidence))
    if not found:
        unknown = _unknown(case, fluid)
        found = [(unknown, unknown.evidence)]
    worst, evidence = max(found, key=lambda each: _gravity(each[0]))
    conditions = _all_conditions([check for check, _ in found])
    return Check(f"fluid {fluid}", worst.outcome, worst.text, evidence, worst.code, conditions)


@lru_cache(maxsize=4096)
def _in_fluid(material: str, fluid: str, temp_c: int | None) -> Check:
    return seals.check_fluid(material, fluid, temp_c)


def _is_soft(made: Made) -> bool:
    return _has_soft_material(made.role)


@lru_cache(maxsize=1024)
def _has_soft_material(name: str) -> bool:
    role = role_named(name)
    wears = role.kind == "wear item" and role.has_soft_parts
    return wears or name in ("hose", "whip hose")


def _hard_stop(fluid: str, metals: tuple[str, ...]) -> Check | None:
    """Return the stop for solvents that explode with aluminium or zinc anywhere in the system."""
    found = _hazards(fluid, metals)
    return replace(found, check=f"fluid {fluid}") if found else None


@lru_cache(maxsize=4096)
def _hazards(fluid: str, metals: tuple[str, ...]) -> Check | None:
    found = [seals.check_solvent_hazard(fluid, metal) for metal in metals]
    grave = [each for each in found if each.outcome != Outcome.MEETS]
    if all(each.code == "FLUID_UNKNOWN" for each in grave) and not any(map(_may_react, metals)):
        return None
    return max(grave, key=_gravity, default=None)


def _may_react(metal: str) -> bool:
    """Say whether a material holds aluminium or zinc, or nobody knows that it does not."""
    named = materials.materials_named(metal)
    return not named or any(materials.holds_hazard_metal(name) for name in named)


def _refused(case: Case, fluid: str) -> Check | None:
    """Return that somebody states the part to be not for the fluid, None where nobody does."""
    for claim in claims_of(case.part, ClaimKind.FLUID):
        if _excludes(claim.value, fluid):
            text = f"stated: {claim.value}"
            return Check(f"fluid {fluid}", Outcome.FAILS, text, evidence_of(claim), "FLUID_BAD")
    return None


_EXCLUDING = frozenset(
    {*("not", "no", "never", "except", "excluding", "excl", "without", "avoid", "unsuitable")}
    | {*("nicht", "kein", "keine", "ausser", "ohne", "ungeeignet", "verboten")}
)


@lru_cache(maxsize=4096)
def _excludes(value: str, fluid: str) -> bool:
    """Say whether a claim about fluids is that the part is not for this one."""
    words, wanted = plain_words(value), plain_words(fluid)
    if not wanted or _EXCLUDING.isdisjoint(words):
        return False
    known = seals.canonical_fluid(fluid)
    spans = ((at, end) for at in range(len(words)) for end in range(at + 1, len(words) + 1))
    return any(
        words[at:end] == wanted
        or (known is not None and seals.canonical_fluid(" ".join(words[at:end])) == known)
        for at, end in spans
    )


def _approved(case: Case, fluid: str) -> Check | None:
    wanted = fluid.lower()
    named = [
        claim
        for claim in claims_of(case.part, ClaimKind.FLUID)
        if wanted in _fluids_named(claim.value)
    ]
    if not named:
        return None
    best = min(named, key=lambda claim: EVIDENCE_RANK[claim.evidence])
    return _said_to_stand(best, fluid)


@lru_cache(maxsize=4096)
def _fluids_named(value: str) -> frozenset[str]:
    return frozenset(each.strip().lower() for each in value.split(";"))


def _said_to_stand(claim: Claim, fluid: str) -> Check:
    text = f"stated for {fluid}"
    name = f"fluid {fluid}"
    if is_hearsay(claim.evidence):
        text = f"{text}, but only by {claim.evidence}"
        return Check(name, Outcome.NOT_SHOWN, text, evidence_of(claim), "FLUID_UNKNOWN")
    return Check(name, Outcome.MEETS, text, evidence_of(claim))


def _unknown(case: Case, fluid: str) -> Check:
    if case.is_very_part:
        return Check("fluid", Outcome.MEETS, f"the very part called for with {fluid}")
    if not case.role.has_soft_parts:
        return Check("fluid", Outcome.MEETS, f"no soft part of a {case.role.name} meets {fluid}")
    if case.is_approved:
        text = f"approved for this place, which works with {fluid}"
        return Check("fluid", Outcome.MEETS, text, case.edges[0].source)
    text = f"neither stated for {fluid} nor is the material of its soft parts stated"
    return Check("fluid", Outcome.NOT_SHOWN, text, code="FLUID_UNKNOWN")
