"""A remembered layout against a file: does the profile still fit, and if not, what moved."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from importers.decoding import PLAIN_ASCII
from importers.heading_units import units_for
from importers.rows import Column, PriceListText, Profile, column_letters

DRIFT = "layout drift: "
# A person's word that a price is meant after the discount that stands beside it.
NET = "net"
# A person's word that a column means nothing here, whatever its heading says.
IGNORED = "ignored"
# A column of these that comes, goes or changes its heading changes what prices and ratings mean.
_GRAVE = frozenset(
    ("price", "list_price", "discount", "currency", "price_per", "pack", "unit", "rating",
     "rating_basis", "code", "maker_number", "replaces")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drift:
    """One sentence on what is not as remembered; a grave one changes what rows mean."""

    text: str
    is_grave: bool = False

    @property
    def said(self) -> str:
        """Return the sentence as it stands among the assumptions."""
        return f"{DRIFT}{self.text}"


def layout_key(text: PriceListText) -> str:
    """Return a short key of a list's layout: sheets, headings and meanings, in order.

    Two lists with the same key can be read with the same profiles.
    """
    return key_of(text.profiles)


def key_of(profiles: Iterable[Profile]) -> str:
    """Return the key of a layout: `layout_key` of a list that was read by it."""
    parts = [
        "\x1f".join((profile.sheet, *(f"{c.index}\x1e{c.heading}\x1e{c.meaning}" for c in columns)))
        for profile in profiles
        for columns in (profile.columns,)
    ]
    return hashlib.sha256("\x1d".join(parts).encode()).hexdigest()[:16]


def best_profile(
    columns: Sequence[Column], sheet: str, profiles: Sequence[Profile]
) -> Profile | None:
    """Return the profile that shares most headings with a table and lacks fewest of its own.

    One that shares less than half of its own is the layout of another table. A settled one wins a
    tie, then the same sheet. A trade document has no header row, and so nothing to remember for a
    table.
    """
    headings = {folded(c.heading) for c in columns}

    def shared(profile: Profile) -> tuple[int, int, bool, bool]:
        own = headings_of(profile)
        common = len(own & headings)
        return common, common - len(own), bool(profile.confirmed), profile.sheet == sheet

    own = [p for p in profiles if p.header_row and p.columns]
    best = max(own, key=shared, default=None)
    return best if best and shared(best)[0] * 2 >= len(headings_of(best)) else None


def apply_profile(
    columns: Sequence[Column], profile: Profile, *, place: str
) -> tuple[list[Column], list[Drift]]:
    """Return the columns with the profile's meanings, and what drifted from it.

    A column of the profile is found by its heading wherever it stands, one without a heading by
    its place; one that vanished is named, and what was proposed for the others stays.
    """
    remembered = dict(zip(_counted(profile.columns), profile.columns, strict=True))
    remembered = {key: c for key, c in remembered.items() if c.heading}
    unheaded = {c.index: c for c in profile.columns if not c.heading}
    keys = _counted(columns)
    here = set(keys)
    drifted = [_missing(c, place) for key, c in remembered.items() if key not in here]
    taken = {c.meaning for key, c in remembered.items() if key in here} - {"other"}
    result = []
    for key, column in zip(keys, columns, strict=True):
        known = remembered.get(key) or unheaded.get(column.index)
        if known is None or bool(known.heading) != bool(column.heading):
            doubled = column.meaning in taken
            column = replace(column, meaning="other") if doubled else column
            result.append(column)
            if column.heading:
                drifted.append(_new(column, place))
            continue
        if known.index not in (column.index, -1):
            drifted.append(_moved(known, column, place))
        result.append(replace(column, meaning=known.meaning, unit=_unit(column, known)))
    return result, drifted


def _counted(columns: Sequence[Column]) -> list[tuple[str, int]]:
    """Return each heading with how often it stood before: two columns may be headed alike."""
    seen: Counter[str] = Counter()
    keys = []
    for column in columns:
        heading = folded(column.heading)
        keys.append((heading, seen[heading]))
        seen[heading] += 1
    return keys


def _unit(column: Column, known: Column) -> str:
    """Return what the heading says of the cells, else the remembered; and what a person said."""
    # A heading in a language that is not known still names a currency or a unit: "Цена USD".
    words = (column.unit or units_for(known.meaning, column.heading) or known.unit).split()
    said = [word for word in (NET, IGNORED) if word in known.unit.split() and word not in words]
    return " ".join(words + said)


def other_layout(profiles: Sequence[Profile], place: str) -> list[Drift]:
    """Return the drift of a table that is like none of the remembered ones."""
    known = [p for p in profiles if p.header_row and p.columns]
    if not known:
        return []
    said = f"{place} is laid out like none that is remembered; it is read by its own headings"
    return [Drift(said, is_grave=True)]


def value_drift(what: str, now: str, remembered: str, place: str, *, is_grave: bool) -> list[Drift]:
    """Return the drift of one setting; what the file leaves open or nobody remembers is none."""
    if not now or not remembered or now == remembered:
        return []
    return [Drift(f"the {what} of {place} is {now!r}, remembered was {remembered!r}", is_grave)]


def delimiter_drift(delimiter: str, profiles: Sequence[Profile]) -> list[str]:
    """Return the sentence that a text list now separates its columns another way, if it does."""
    remembered = sorted({repr(p.delimiter) for p in profiles if p.delimiter})
    if not delimiter or not remembered or repr(delimiter) in remembered:
        return []
    before = " or ".join(remembered)
    return [f"{DRIFT}columns are separated by {delimiter!r}, remembered was {before}"]


def encoding_drift(encoding: str, assumed: Sequence[str], profiles: Sequence[Profile]) -> list[str]:
    """Return the sentence that a text list is now written otherwise; plain ASCII tells nothing."""
    remembered = sorted({p.encoding for p in profiles if p.encoding})
    if not encoding or not remembered or encoding in remembered:
        return []
    if any(said.endswith(PLAIN_ASCII) for said in assumed):
        return []
    return [f"{DRIFT}the text is written in {encoding}, remembered was {' or '.join(remembered)}"]


def _missing(column: Column, place: str) -> Drift:
    said = (
        f'{place} no longer has the column "{column.heading}" '
        f"({column.meaning}) of the remembered layout"
    )
    return Drift(said, column.meaning in _GRAVE)


def _new(column: Column, place: str) -> Drift:
    meaning = "" if column.meaning == "other" else f" ({column.meaning})"
    return Drift(f'{place} has a new column "{column.heading}"{meaning}', column.meaning in _GRAVE)


def _moved(known: Column, column: Column, place: str) -> Drift:
    return Drift(
        f'column "{column.heading}" of {place} moved '
        f"from {column_letters(known.index)} to {column_letters(column.index)}"
    )


def headings_of(profile: Profile) -> frozenset[str]:
    """Return the headings of a layout, in the form in which they are compared."""
    return frozenset(folded(c.heading) for c in profile.columns if c.heading)


def folded(heading: str) -> str:
    """Return a heading in lower case with single blanks."""
    return " ".join(heading.split()).casefold()
