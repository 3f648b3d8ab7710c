"""Two lists of one supplier, line by line: what changed, and what of it waits for a person.

A price beyond the setting, any rating that rose without a document, another unit, pack, material
or part under the same code: none of these is taken on the supplier's word (handbook section 8).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from importers.rows import RowKind
from partsdb.errors import InputRefusedError
from partsdb.jobs.listed import ListedOffer
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.successors import successor_of
from partsdb.matching.readings import ReadingKind
from partsdb.rules.facts import Claim, ClaimKind
from partsdb.rules.numbers import number_identity
from partsdb.rules.pressure import rating
from partsdb.rules.stated import stated_claims

# A price that moved by about a power of ten is a slipped decimal mark or another price basis.
_POWERS = (Fraction(10), Fraction(100), Fraction(1000))
_SLIP_BAND = Fraction(3, 20)
# In the reason why a line waits: its rating rose, and is not stored before a person says so.
RAISED = "raised: "
GONE = "gone"  # an article of the list before that the new one lacks: its place is in that list

_Found = tuple[str, str, str, str, bool]  # kind, was, now, text, waits

# Says whether a document or a measurement of ours shows a part (by its line) at so many pascals.
Documented = Callable[[ReadLine, int], bool]


@dataclass(frozen=True, slots=True)
class Change:
    """One change: its kind, where the line stands, both values, and whether it waits."""

    kind: str
    place: str
    code: str
    was: str
    now: str
    text: str
    waits: bool = False


def by_code(lines: Iterable[ReadLine]) -> dict[str, ReadLine]:
    """Return the articles of a list by the key of their code; of a repeated code the first."""
    found: dict[str, ReadLine] = {}
    for line in lines:
        if line.listed.row.kind in (RowKind.ITEM, RowKind.REFUSED) and (key := key_of(line)):
            found.setdefault(key, line)
    return found


def key_of(line: ReadLine) -> str:
    """Return what a line is known by in the next list: its code, else the maker's number.

    Letters that no key holds count: "Ж24" and "Ü24" are two articles.
    """
    text = line.listed.text
    return number_identity(text.code) or number_identity(text.maker_number)


def line_changes(
    was: ReadLine, now: ReadLine, jump: Fraction, documented: Documented
) -> list[Change]:
    """Return what changed between two lines of one code."""
    found: list[_Found] = []
    if was.listed.offer and now.listed.offer:
        found += _offer_changes(was.listed.offer, now.listed.offer, jump)
    elif was.listed.offer and not now.listed.offer:
        why = "; ".join(now.listed.problems) or "no price is given"
        found.append(("no price now", shown_price(was.listed.offer), "", why, True))
    found += _rating_changes(was, now, documented)
    found += _material_changes(was, now)
    found += _reading_changes(was, now)
    found += _successor_changes(was, now)
    place, code = now.listed.row.place(), _code_of(now)
    return [
        Change(kind, place, code, old, new, text, waits) for kind, old, new, text, waits in found
    ]


def _offer_changes(was: ListedOffer, now: ListedOffer, jump: Fraction) -> list[_Found]:
    found = []
    for kind, old, new in (
        ("currency", was.currency, now.currency),
        ("unit", was.unit.upper(), now.unit.upper()),
        ("pack", str(was.pack_units), str(now.pack_units)),
        ("minimum", str(was.min_units), str(now.min_units)),
    ):
        if old != new:
            text = f"the {kind} was {old or 'not said'}, now {new or 'not said'}"
            found.append((kind, old, new, text, kind != "minimum"))
    if was.currency == now.currency:
        found += _price_change(was, now, jump)
        found += _break_changes(was, now, jump)
    return found


def _break_changes(was: ListedOffer, now: ListedOffer, jump: Fraction) -> list[_Found]:
    """Each price break is compared with that of the same quantity, as a price of its own."""
    old, new = dict(was.breaks), dict(now.breaks)
    found: list[_Found] = []
    for units in sorted(old.keys() | new.keys()):
        before = replace(was, price_e4=old[units]) if units in old else None
        after = replace(now, price_e4=new[units]) if units in new else None
        if before and after:
            found += [
                (f"{kind} from {units}", old_price, new_price, text, waits)
                for kind, old_price, new_price, text, waits in _price_change(before, after, jump)
            ]
        elif after:
            kind, price = f"price from {units} new", shown_price(after)
            found.append((kind, "", price, "a new price break", False))
        elif before:
            kind, price = f"price from {units} gone", shown_price(before)
            found.append((kind, price, "", "no such price break now", False))
    return found


def _price_change(was: ListedOffer, now: ListedOffer, jump: Fraction) -> list[_Found]:
    old, new = Fraction(was.price_e4, was.price_per), Fraction(now.price_e4, now.price_per)
    if old == new:
        return []
    ratio = new / old
    shown = shown_price(was), shown_price(now)
    for power in _POWERS:
        for factor, sign in ((power, "×"), (1 / power, "÷")):
            if abs(ratio / factor - 1) <= _SLIP_BAND:
                text = f"about {sign}{power}: a slipped decimal mark or another price basis?"
                return [(f"price {sign}{power}", *shown, text, True)]
    percent = f"{float(ratio - 1) * 100:+.1f} %"
    if abs(ratio - 1) > jump:
        text = f"{percent}, more than the {float(jump):.0%} that pass unasked"
        return [("price jump", *shown, text, True)]
    return [("price", *shown, percent, False)]


def shown_price(offer: ListedOffer) -> str:
    """Return "72.5 EUR" or "340 EUR per 100"."""
    amount = Decimal(offer.price_e4).scaleb(-4).normalize()
    basis = f" per {offer.price_per}" if offer.price_per != 1 else ""
    return f"{amount:f} {offer.currency}{basis}"


def _rating_changes(was: ReadLine, now: ReadLine, documented: Documented) -> list[_Found]:
    """Ratings are compared per piece and basis: the highest may not rise, the lowest not fall."""
    old, new = _ratings(was.claims), _ratings(now.claims)
    found: list[_Found] = []
    for key in sorted(old.keys() | new.keys()):
        before, after = old.get(key, []), new.get(key, [])
        name = " ".join(("rating", *filter(None, key)))
        if not before or not after:
            kind = f"{name} {'new' if after else 'gone'}"
            text = "stated for the first time" if after else "no longer stated"
            found.append((kind, _shown(before), _shown(after), text, False))
            continue
        if after[-1][0] > before[-1][0]:
            shown = documented(now, after[-1][0])
            text = "raised, and a document shows it" if shown else "raised without a document"
            found.append((f"{name} raised", _shown(before), _shown(after), text, not shown))
        if after[0][0] < before[0][0]:
            text = "lowered: what is in stock may hold less than was thought"
            found.append((f"{name} lowered", _shown(before), _shown(after), text, True))
    return found


def _shown(figures: Sequence[tuple[int, str]]) -> str:
    return " and ".join(dict.fromkeys(value for _, value in figures))


def _ratings(claims: Iterable[Claim]) -> dict[tuple[str, str], list[tuple[int, str]]]:
    """Return piece and basis -> the figures stated, lowest first, in pascals and as written."""
    found: dict[tuple[str, str], list[tuple[int, str]]] = {}
    for claim in claims:
        if claim.kind is not ClaimKind.RATING:
            continue
        try:
            pascals = rating(claim.value, in_pressure_context=True).pascals
        except InputRefusedError:
            continue
        found.setdefault((claim.about, claim.basis), []).append((pascals, claim.value))
    return {key: sorted(figures) for key, figures in found.items()}


def _material_changes(was: ReadLine, now: ReadLine) -> list[_Found]:
    """Materials are compared per piece; words that no table knows are compared as written."""
    old, new = _materials(was.claims), _materials(now.claims)
    found: list[_Found] = []
    for about in sorted(old.keys() | new.keys()):
        before, after = old.get(about, frozenset()), new.get(about, frozenset())
        if before == after:
            continue
        kind = f"material {about}".strip()
        shown = ", ".join(sorted(before)), ", ".join(sorted(after))
        if before and after:
            found.append((kind, *shown, "another material is claimed than before", True))
        else:
            text = "claimed for the first time" if after else "no longer claimed"
            found.append((f"{kind} {'new' if after else 'gone'}", *shown, text, False))
    return found + _material_words(was, now)


def _material_words(was: ReadLine, now: ReadLine) -> list[_Found]:
    """Return the change of a column of materials to words of which no claim could be made."""
    old, new = (line.listed.text.material.strip() for line in (was, now))
    if not old or not new or old.casefold() == new.casefold():
        return []
    if stated_claims("", material=new):
        return []
    text = "another material is named, in words that are not known here"
    return [("material words", old, new, text, True)]


def _successor_changes(was: ReadLine, now: ReadLine) -> list[_Found]:
    old, new = successor_of(was.listed), successor_of(now.listed)
    if old == new:
        return []
    text = "said by the seller alone: ask the maker" if new else "no longer said to be replaced"
    return [("superseded", old, new, text, False)]


def _materials(claims: Iterable[Claim]) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for claim in claims:
        if claim.kind is ClaimKind.MATERIAL:
            found[claim.about] = found.get(claim.about, frozenset()) | {claim.value.casefold()}
    return found


def _reading_changes(was: ReadLine, now: ReadLine) -> list[_Found]:
    """Another part under the same code, or a claim to replace one that was not made before."""
    old, new = was.reading, now.reading
    if new.kind is ReadingKind.REPLACEMENT and (new.kind, new.part_id) != (old.kind, old.part_id):
        text = "claims for the first time to replace a part of ours: proposed, not approved"
        return [("replacement", old.kind.value, new.kind.value, text, False)]
    if old.part_id != new.part_id and None not in (old.part_id, new.part_id):
        text = "the code was taken for another part before: has the supplier given it anew?"
        said = was.listed.text.description, now.listed.text.description
        return [("another part", *said, text, True)]
    if now.listed.row.kind is RowKind.REFUSED and was.listed.row.kind is RowKind.ITEM:
        return [("refused", "", "", "; ".join(now.listed.row.notes), True)]
    return []


def list_changes(
    was: Mapping[str, ReadLine],
    now: Mapping[str, ReadLine],
    jump: Fraction,
    documented: Documented,
    *,
    earlier: Mapping[str, ReadLine | None] = MappingProxyType({}),
) -> list[Change]:
    """Return all changes, what waits first.

    `earlier` are the codes of the lists before the last, each with the line that last had a price.
    """
    found: list[Change] = []
    for key, line in now.items():
        last = earlier.get(key)
        if key in was:
            found += line_changes(was[key], line, jump, documented)
        if key not in was or (last and line.listed.offer):
            found.append(_arrived(line, last, is_back=key in earlier, is_priced=key not in was))
        if last and line.listed.offer:
            found += line_changes(last, line, jump, documented)
    found += [_gone(line) for key, line in was.items() if key not in now and line.listed.offer]
    return sorted(found, key=lambda change: not change.waits)


def _arrived(line: ReadLine, last: ReadLine | None, *, is_back: bool, is_priced: bool) -> Change:
    """Return a line that the last list had not, or had without a price; `last` is its last one."""
    text = line.listed.text
    price = shown_price(line.listed.offer) if line.listed.offer else ""
    before = shown_price(last.listed.offer) if last and last.listed.offer else ""
    kind = "returned" if is_back else "new"
    if line.reading.kind is ReadingKind.REPLACEMENT and not is_back:
        kind = "new replacement"
    if not is_priced:
        kind = "price again"
    return Change(kind, line.listed.row.place(), _code_of(line), before, price, text.description)


def _gone(line: ReadLine) -> Change:
    text, offer = line.listed.text, line.listed.offer
    price = shown_price(offer) if offer else ""
    return Change(GONE, line.listed.row.place(), _code_of(line), price, "", text.description)


def _code_of(line: ReadLine) -> str:
    """Return the code of a line as it is printed, else the maker's number."""
    return line.listed.text.code or line.listed.text.maker_number
