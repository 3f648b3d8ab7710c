"""Finds the parts that a written code may mean, tier by tier; the weaker tiers only propose."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from partsdb.matching.affixes import Affix
from partsdb.matching.catalogue import CatalogueIndex
from partsdb.rules.numbers import (
    CUT,
    LOOKALIKES,
    OTHER_SCRIPT,
    damages,
    has_other_script,
    letters_beyond,
    number_fold,
    number_key,
    number_runs,
)
from partsdb.rules.spreadsheet import (
    DATE,
    FIFTEEN_DIGITS,
    LEADING_ZEROS,
    SCIENTIFIC,
    THOUSANDS,
    TRAILING_ZERO,
)

KEY, FORM, AFFIX, FOLD, NEAR, CUT_SHORT, TEXT = (
    "key", "form", "affix", "fold", "near", "cut short", "text",
)  # fmt: skip
# Only these may settle a line; the others propose.
REPAIRED = (FORM, AFFIX, FOLD)
RANK = {tier: rank for rank, tier in enumerate((KEY, FORM, AFFIX, FOLD, NEAR, CUT_SHORT, TEXT))}
# A code that bears one of these is not the number that its signs spell.
_UNREADABLE = frozenset((SCIENTIFIC, DATE, TRAILING_ZERO))


@dataclass(frozen=True, slots=True)
class Hit:
    """One part that a code may mean: its place, the tier that found it, the damage assumed."""

    place: int
    tier: str
    damage: str = ""


def damage_named(code: str) -> str:
    """Return the damage that destroyed the code whatever it was, or ""."""
    names = [name for _, name in damages(code)]
    return next((n for n in (SCIENTIFIC, DATE, FIFTEEN_DIGITS) if n in names), "")


def key_hits(code: str, index: CatalogueIndex) -> list[Hit]:
    """Return the parts whose number is `code` but for punctuation, case and script.

    A letter that no key holds ("Ü24-1369", "阀24-1182") makes it another number.
    """
    places = [p for p in index.with_key(number_key(code)) if _has_same_letters(code, p, index)]
    names = {name for _, name in damages(code)} if places else set()
    if names & _UNREADABLE:
        runs = number_runs(code)
        places = [p for p in places if number_runs(index.entries[p].number) == runs]
    damage = THOUSANDS if THOUSANDS in names else ""
    if has_other_script(code):
        damage = OTHER_SCRIPT
    return [Hit(p, KEY, damage if not _is_as_printed(code, p, index) else "") for p in places]


def repaired_hits(code: str, index: CatalogueIndex, affixes: tuple[Affix, ...]) -> list[Hit]:
    """Return the parts that a named damage or a learned affix turns into `code`, surest first."""
    found: dict[int, Hit] = {}
    for hit in (*_form_hits(code, index), *_affix_hits(code, index, affixes),
                *_fold_hits(code, index)):  # fmt: skip
        if _has_same_letters(code, hit.place, index):
            found.setdefault(hit.place, hit)
    return list(found.values())


def proposed_hits(code: str, index: CatalogueIndex, affixes: tuple[Affix, ...]) -> list[Hit]:
    """Return the parts one edit away, cut short, or with other letters in front: proposals only.

    What is left of a code without a learned affix proposes as the code itself does.
    """
    key = number_key(code)
    found: dict[int, Hit] = {}
    for each in (key, *filter(None, (affix.stripped(key) for affix in affixes))):
        for place in (*index.neighbours(each), *index.by_fold.get(number_fold(each), ())):
            found.setdefault(place, Hit(place, NEAR))
        for place in index.without_letters(each):
            found.setdefault(place, Hit(place, NEAR))
        for place in index.extended(each):
            found.setdefault(place, Hit(place, CUT_SHORT, CUT))
    return list(found.values())


def _has_same_letters(code: str, place: int, index: CatalogueIndex) -> bool:
    """Say whether code and number have the same letters beyond A to Z, mostly none."""
    number = index.entries[place].number
    return letters_beyond(code) == letters_beyond(number)


def _is_as_printed(code: str, place: int, index: CatalogueIndex) -> bool:
    return code.strip().upper() == index.entries[place].number.strip().upper()


def _form_hits(code: str, index: CatalogueIndex) -> Iterator[Hit]:
    key = number_key(code)
    for form, name in damages(code):
        for place in index.by_form.get(form, ()):
            if number_key(index.entries[place].number) != key or name in _UNREADABLE:
                yield Hit(place, FORM, name)


def _affix_hits(code: str, index: CatalogueIndex, affixes: tuple[Affix, ...]) -> Iterator[Hit]:
    key = number_key(code)
    for affix in affixes:
        rest = affix.stripped(key)
        if rest:
            for place in index.with_key(rest):
                yield Hit(place, AFFIX, f"{affix.side} {affix.text} of this list")


def _fold_hits(code: str, index: CatalogueIndex) -> Iterator[Hit]:
    """Yield the parts whose number has look-alikes for the code's signs, or zeros that it lost.

    Zeros that the code has and the number has not are no loss, one zero less is a slip, and the
    same signs in another order ("Z2" for "2Z") are signs swapped, not look-alikes.
    """
    fold, key = number_fold(code), number_key(code)
    zeros = len(key) - len(key.lstrip("0"))
    for place in index.by_fold.get(fold, ()) if fold else ():
        other = number_key(index.entries[place].number)
        lost = len(other) - len(other.lstrip("0")) - zeros
        is_slip = lost < 0 or lost == 1 or (lost and zeros) or sorted(other) == sorted(key)
        if is_slip:
            continue
        yield Hit(place, FOLD, LEADING_ZEROS if lost else LOOKALIKES)
