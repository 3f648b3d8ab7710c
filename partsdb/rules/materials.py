"""What a piece is made of: names, substitution by role, and the galvanic pair with the block.

A better material never raises a pressure rating by itself. Source: handbook 3.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache, lru_cache

from partsdb import tables
from partsdb.errors import NotFoundError
from partsdb.rules.galvanic import (
    GALVANIC_SOURCE,
    LIMITS_V,
    galvanic_delta,
    is_galvanically_worse,
)
from partsdb.rules.verdict import Check, Outcome
from partsdb.rules.words import plain_words

_PACKINGS = frozenset({"packing", "packing kit"})
_BODIES = frozenset({"valve body", "pump block"})
_ROLE_ALIASES = {"body": "valve body", "block": "pump block", "o ring": "o-ring", "oring": "o-ring"}
# Pieces that touch other pieces only, or are no metal: the block cannot corrode against them.
_APART_FROM_BLOCK = frozenset({"ball", "packing", "packing kit", "rod seal", "o-ring", "nozzle"})
_NEUTRAL_WORDS = frozenset(
    {
        *("ball", "balls", "seat", "seats", "ring", "rings", "rod", "packing", "packings", "seal"),
        *("seals", "body", "block", "fitting", "nozzle", "tip", "gland", "kugel", "sitz", "ringe"),
        *("dichtung", "gehaeuse", "material", "werkstoff", "aus", "of", "made", "grade", "aisi"),
        *("polished", "poliert", "gehaertet", "hardened", "ground", "solid"),
    }
)
_STACK = re.compile(r"\s*(?:[/+&,;|]|\b(?:and|und|with|mit)\b)\s*", re.IGNORECASE)
_DOUBTFUL = re.compile(r"[?~≈*†‡§]")  # a guess, or a footnote that may say anything
_SHORE = re.compile(
    r"(?<![\d.])(?P<shore>[4-9]\d)(?![\d.])\s*°?\s*(?:shore|sh|duro(?:meter)?)?\.?\s*(?:A\b)?", re.I
)


@cache
def _aliases() -> dict[tuple[str, ...], str]:
    known = {plain_words(row["alias"]): row["material"] for row in tables.rows("material_aliases")}
    return known | {plain_words(row["material"]): row["material"] for row in _rows().values()}


@cache
def _rows() -> dict[str, tables.Row]:
    return {row["material"]: row for row in tables.rows("materials")}


@lru_cache(maxsize=4096)
def canonical(name: str) -> str | None:
    """Return our name of a material, or None when the text is not wholly understood.

    Words that we do not know ("like", "coated", "type") may change everything, so they give None,
    as do a question mark and a footnote's sign.
    """
    if _DOUBTFUL.search(name):
        return None
    words = plain_words(name)
    if words in _aliases():
        return _aliases()[words]
    found, rest = _aliases_in(words)
    if len(found) == 1 and set(rest) <= _NEUTRAL_WORDS:
        return found.pop()
    return _elastomer(name) if _SHORE.search(name) else None


def materials_named(text: str) -> frozenset[str]:
    """Return every material that a text names, whatever else it says: for hazards, not for fit."""
    return frozenset(_aliases_in(plain_words(text))[0])


def _aliases_in(words: tuple[str, ...]) -> tuple[set[str], list[str]]:
    """Return the materials named, longest names first, and the words left over."""
    found: set[str] = set()
    rest: list[str] = []
    at = 0
    while at < len(words):
        spans = range(min(6, len(words) - at), 0, -1)
        length = next((n for n in spans if words[at : at + n] in _aliases()), 0)
        if length:
            found.add(_aliases()[words[at : at + length]])
        else:
            rest.append(words[at])
        at += length or 1
    # "316 stainless": the general name beside the grade says nothing more.
    return {one for one in found if not any(one in _ancestors(other) for other in found)}, rest


def _elastomer(name: str) -> str | None:
    """Return the compound of "NBR 70 Shore A"; a number beside any other material is not shore."""
    rest = _SHORE.sub(" ", name, count=1)
    found = canonical(rest) if not _SHORE.search(rest) else None
    return found if found and _rows()[found]["kind"] == "elastomer" else None


def shore_hardness(name: str) -> int | None:
    """Return the Shore A hardness that the name of an elastomer states, or None."""
    match = _SHORE.search(name)
    return int(match["shore"]) if match and _elastomer(name) else None


def stack(name: str) -> frozenset[str] | None:
    """Return the materials of a packing ("leather/UHMWPE"), or None when one is not understood."""
    whole = canonical(name)
    if whole:
        return frozenset({whole})
    named = [canonical(part) for part in _STACK.split(name.strip()) if part]
    known = frozenset(part for part in named if part)
    return known if named and len(known) == len(set(named)) else None


@cache
def _ancestors(material: str) -> tuple[str, ...]:
    above = _rows()[material]["is_a"]
    return (above, *_ancestors(above)) if above else ()


def hardness(material: str) -> tuple[int | None, int, str] | None:
    """Return least, greatest hardness and scale of a material by our name, or None if not listed.

    NotFoundError for a name that is not ours.
    """
    row = _row(material)
    if not row["hardness_high"]:
        return None
    low = row["hardness_low"]
    return int(low) if low else None, int(row["hardness_high"]), row["hardness_scale"]


def holds_hazard_metal(material: str) -> bool:
    """Say whether a halogenated solvent may react with it: aluminium or zinc (handbook 3.2)."""
    return _row(material)["halogen_hazard"] == "yes"


def _row(material: str) -> tables.Row:
    if material not in _rows():
        raise NotFoundError("material", material, hint="see partsdb/tables/materials.csv")
    return _rows()[material]


def check_material(role: str, called_for: str, offered: str, *, block_material: str = "") -> Check:
    """Return whether `offered` may stand where `called_for` is the least acceptable material.

    `block_material` is what the piece is screwed into: a larger galvanic difference than before
    becomes a condition. Source: handbook 3.1 and 3.3.
    """
    return _judged(role, called_for, offered, block_material)


@lru_cache(maxsize=8192)
def _judged(role: str, called_for: str, offered: str, block_material: str) -> Check:
    role = _ROLE_ALIASES.get(role.strip().casefold(), role.strip().casefold())
    if not offered.strip():
        text = f"its material is not stated; {called_for} is called for"
        return _check(role, Outcome.NOT_SHOWN, text)
    if role in _PACKINGS:
        return _check_packing(role, called_for, offered)
    called, given = canonical(called_for), canonical(offered)
    if called is None or given is None:
        unknown = called_for if called is None else offered
        text = f"{unknown!r} is no material that we know; {called_for} is called for"
        return _check(role, Outcome.NOT_SHOWN, text)
    found = _substitution(role, called, given)
    if found.outcome is Outcome.MEETS and called == given:
        return _compare_shore(role, called_for, offered, found)
    if role in _APART_FROM_BLOCK or not block_material:
        return found
    return _compare_galvanic(found, called, given, block_material)


def _check(role: str, outcome: Outcome, text: str, source: str = "", code: str = "") -> Check:
    return Check(f"material {role}", outcome, text, source or "common practice", code)


def _substitution(role: str, called: str, given: str) -> Check:
    """Judge a material by the table of substitutions; what it does not hold is not shown."""
    if called == given or called in _ancestors(given):
        if _rows()[given]["complete"] == "no" and (given == "carbide" or role in _BODIES):
            return _check(
                role, Outcome.NOT_SHOWN, f"{given} without its grade or form shows nothing"
            )
        words = "the same" if called == given else f"a kind of {called}"
        return _check(role, Outcome.MEETS, f"{given} for {called}: {words}")
    if given in _ancestors(called) or given == "carbide":
        return _check(role, Outcome.NOT_SHOWN, f"{given} for {called}: the grade is not stated")
    row = _substitutions().get((role, called, given))
    if row is None:
        return _check(
            role, Outcome.NOT_SHOWN, f"{given} for {called}: no rule shows that it will do"
        )
    outcome = Outcome(row["outcome"])
    code = "MATERIAL_DOWNGRADE" if row["change"] in ("downgrade", "different") else ""
    conditions = (row["condition"],) if row["condition"] else ()
    text = f"{given} for {called}: {_CHANGES[row['change']]}{_hardnesses(given, called)}"
    return Check(f"material {role}", outcome, text, row["source"], code, conditions)


def _hardnesses(*materials: str) -> str:
    """Return the hardness ranges of the materials in brackets, where any of them is listed."""
    said = [f"{each} {_range(found)}" for each in materials if (found := hardness(each))]
    return f" ({', '.join(said)})" if said else ""


def _range(found: tuple[int | None, int, str]) -> str:
    low, high, scale = found
    figures = f"to {high}" if low is None else f"{low} to {high}" if low < high else str(high)
    return f"{figures} {scale}"


_CHANGES = {
    "upgrade": "an upgrade",
    "equal": "an equal",
    "downgrade": "a downgrade",
    "different": "another compound",
    "unknown": "not shown to be its equal",
}


@cache
def _substitutions() -> dict[tuple[str, str, str], tables.Row]:
    return {
        (role, called, given): row
        for row in tables.rows("substitutions")
        for role in row["roles"].split(";")
        for called in row["called_for"].split(";")
        for given in row["offered"].split(";")
    }


def _check_packing(role: str, called_for: str, offered: str) -> Check:
    """Judge a packing as a whole: the same stack, or a different part (handbook 3.3)."""
    called, given = stack(called_for), stack(offered)
    if called is None or given is None:
        unknown = called_for if called is None else offered
        return _check(role, Outcome.NOT_SHOWN, f"{unknown!r} is no packing material that we know")
    text = f"{offered} for {called_for}"
    if called == given:
        return _check(role, Outcome.MEETS, f"{text}: the same stack")
    if given < called:
        return _check(
            role,
            Outcome.FAILS,
            f"{text}: a part of the stack for the whole",
            code="MATERIAL_DOWNGRADE",
        )
    return _check(role, Outcome.NOT_SHOWN, f"{text}: a change of packing is a different part")


def _compare_shore(role: str, called_for: str, offered: str, found: Check) -> Check:
    """Hold an elastomer to the hardness called for, if one is (handbook 3.3)."""
    called, given = shore_hardness(called_for), shore_hardness(offered)
    if called is None or called == given:
        return found
    if given is None:
        return _check(
            role, Outcome.NOT_SHOWN, f"{offered} for {called_for}: its hardness is not stated"
        )
    return _check(
        role,
        Outcome.FAILS,
        f"{offered} for {called_for}: {given} Shore A, not {called}",
        code="MATERIAL_DOWNGRADE",
    )


def _compare_galvanic(found: Check, called: str, given: str, block_material: str) -> Check:
    """Compare new with old against the block; only a larger difference counts (handbook 3.1)."""
    if found.outcome not in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS):
        return found
    if _rows()[called]["kind"] == _rows()[given]["kind"] == "carbide":
        return found  # carbide is not listed, and carbide for carbide changes nothing
    block = canonical(block_material)
    old = galvanic_delta(called, block) if block else None
    new = galvanic_delta(given, block) if block else None
    if block is None or old is None or new is None:
        text = f"{found.text}; its galvanic pair with {block_material} is not listed"
        return replace(found, outcome=Outcome.NOT_SHOWN, text=text, evidence=GALVANIC_SOURCE)
    if not is_galvanically_worse(called, given, block):
        return found
    condition = (
        f"confirm that {new} V of galvanic difference against {block} is acceptable"
        f" (wetted limit {LIMITS_V['wetted']} V)"
    )
    return replace(
        found,
        outcome=Outcome.MEETS_WITH_CONDITIONS,
        text=f"{found.text}; against {block} {new} V where {called} has {old} V",
        evidence=f"{found.evidence}; {GALVANIC_SOURCE}",
        code="GALVANIC_WORSE",
        conditions=(*found.conditions, condition),
    )
