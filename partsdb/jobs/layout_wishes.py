"""What a person says of a list's layout, checked word by word, and put into the layouts read."""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from importers.drift import IGNORED, NET, folded
from importers.rows import MEANINGS, Column, PriceListText, Profile, column_letters
from importers.tax_words import as_rate
from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.listed import unit_key
from partsdb.rules.currencies import currency_info
from partsdb.rules.unit_codes import unit_code

_DELIMITERS = {"tab": "\t", "semicolon": ";", "comma": ",", "bar": "|", "\\t": "\t"}
_MOST_UNITS = 1_000_000
_RATE = re.compile(r"([0-9]{1,2}(?:[.,][0-9]{1,2})?) ?%?")
PACK = "pack"
Test = Callable[[Column], bool]
# Words that may follow a meaning, as headings have them.
_WORDS = {
    "discount": {"%": "percent", "percent": "percent", "code": "code"},
    "rating": {"bar": "bar", "psi": "psi", "mpa": "MPa", "working": "working", "proof": "proof",
               "burst": "burst"},
    "weight": {"kg": "kg", "g": "g"},
    "lead_days": {"days": "days", "weeks": "weeks"},
}  # fmt: skip
_NAMES = {meaning.replace("_", " "): (meaning, "") for meaning in MEANINGS}
_NAMES |= {"net price": ("price", NET), "nothing": ("other", IGNORED)}
_NAMES |= {"quantity": ("other", IGNORED)}


@dataclass(frozen=True, slots=True)
class LayoutAsk:
    """A file to look at, and what a person says of its layout; "" and 0 say nothing.

    `columns` are "HEADING=MEANING" or "B=MEANING", `units` "M=MTR".
    """

    path: Path
    supplier: str
    columns: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    sheet: str = ""
    header_row: int = 0
    delimiter: str = ""
    encoding: str = ""
    decimal_mark: str = ""
    currency: str = ""
    price_per: str = ""
    tax: str = ""
    save: bool = False


@dataclass(frozen=True, slots=True)
class _Wish:
    """One column as it was typed: its heading or letter, its meaning, and words about its cells."""

    named: str
    meaning: str
    unit: str


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for, checked; `settings` are fields of a Profile."""

    columns: tuple[_Wish, ...] = ()
    units: tuple[tuple[str, str], ...] = ()
    sheet: str = ""
    header_row: int = 0
    settings: dict[str, Any] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        """Say whether nothing was asked for."""
        return not (self.columns or self.units or self.header_row or self.settings)

    def first_look(self) -> tuple[Profile, ...]:
        """Return what must be known before the columns are: where the header stands, which text."""
        if not self.header_row and not {"delimiter", "encoding"} & set(self.settings):
            return ()
        text = {k: v for k, v in self.settings.items() if k in ("delimiter", "encoding")}
        return (Profile((), self.header_row, self.sheet, confirmed="asked for", **text),)

    def applied(self, profiles: Sequence[Profile], confirmed: str) -> tuple[Profile, ...]:
        """Return the layouts as asked for; raises UsageError for a column that none has."""
        if not profiles:
            columns = tuple(
                Column(-1, wish.named, wish.meaning, wish.unit) for wish in self.columns
            )
            made = Profile(columns, self.header_row or 1, self.sheet, confirmed=confirmed)
            return (self._with_settings(made),)
        found = list(profiles)
        for wish in self.columns:
            found = self._with_column(found, wish)
        return tuple(
            replace(self._with_settings(each), confirmed=confirmed) if self._means(each) else each
            for each in found
        )

    def _means(self, profile: Profile) -> bool:
        return not self.sheet or profile.sheet == self.sheet

    def _with_settings(self, profile: Profile) -> Profile:
        units = tuple((dict(profile.units) | dict(self.units)).items())
        return replace(profile, units=units, **self.settings)

    def _with_column(self, profiles: list[Profile], wish: _Wish) -> list[Profile]:
        meant = [p for p in profiles if self._means(p)]
        is_it = _headed(wish.named)
        if len(meant) == 1 and not _any(meant, is_it):
            is_it = _lettered(wish.named)
        if not _any(meant, is_it):
            raise _no_such_column(meant, wish.named)
        return [_changed(p, wish, is_it) if self._means(p) else p for p in profiles]


def wishes_of(ask: LayoutAsk) -> Wishes:
    """Return what was asked for; raises UsageError that names the option and what it takes."""
    settings = {
        "delimiter": _delimiter(ask.delimiter),
        "encoding": _encoding(ask.encoding),
        "decimal_mark": _decimal_mark(ask.decimal_mark),
        "currency": currency_info(ask.currency.upper()).code if ask.currency else "",
        "price_per": _price_per(ask.price_per),
        "tax": _tax(ask.tax),
    }
    return Wishes(
        tuple(map(_column, ask.columns)),
        tuple(map(_unit, ask.units)),
        ask.sheet,
        ask.header_row,
        {name: value for name, value in settings.items() if value},
    )


def refuse_unheeded(wishes: Wishes, source: PriceListText) -> None:
    """Raise UsageError where the file cannot be read as asked for."""
    sheets = list(dict.fromkeys(profile.sheet for profile in source.profiles))
    if wishes.sheet and wishes.sheet not in sheets:
        named = ", ".join(f'"{sheet}"' for sheet in sheets if sheet)
        raise UsageError(
            f"no table is read on a sheet {wishes.sheet!r}",
            hint=f"the sheets with tables are {named}" if named else "the file has no sheets",
        )
    for profile in source.profiles:
        if wishes.header_row and profile.header_row != wishes.header_row:
            raise UsageError(f"row {wishes.header_row} cannot be the header of a table")
        delimiter = wishes.settings.get("delimiter", "")
        if delimiter and profile.delimiter != delimiter:
            raise UsageError(
                f"the file is not separated by {delimiter!r} into a table",
                hint="leave --delimiter out to see how it is read",
            )


def _changed(profile: Profile, wish: _Wish, is_it: Test) -> Profile:
    """Give the column its meaning; another one that had it has none then."""
    columns = []
    for column in profile.columns:
        if is_it(column):
            words = (word for word in column.unit.split() if word != IGNORED)
            unit = " ".join(dict.fromkeys((*words, *wish.unit.split())))
            column = replace(column, meaning=wish.meaning, unit=unit)
        elif column.meaning == wish.meaning and wish.meaning != "description":
            column = replace(column, meaning="other")
        columns.append(column)
    return replace(profile, columns=tuple(columns))


def _headed(name: str) -> Test:
    wanted = folded(name)
    return lambda column: folded(column.heading) == wanted


def _lettered(name: str) -> Test:
    wanted = name.upper()
    return lambda column: column_letters(column.index) == wanted


def _any(profiles: Sequence[Profile], is_it: Test) -> bool:
    return any(is_it(column) for profile in profiles for column in profile.columns)


def _no_such_column(profiles: Sequence[Profile], named: str) -> UsageError:
    headings = [c.heading for p in profiles for c in p.columns if c.heading]
    shown = ", ".join(f'"{heading}"' for heading in dict.fromkeys(headings))
    return UsageError(
        f"no column is headed {named!r}",
        hint=f"the headings are {shown or 'not known'}; a letter names a column of a lone table",
    )


def _column(text: str) -> _Wish:
    named, mark, said = (each.strip() for each in text.rpartition("="))
    words = said.casefold().split()
    for length in range(len(words), 0, -1):
        meaning, unit = _NAMES.get(" ".join(words[:length]), ("", ""))
        known = _WORDS.get(meaning, {})
        if mark and named and meaning and all(word in known for word in words[length:]):
            return _Wish(
                named, meaning, " ".join((unit, *(known[w] for w in words[length:]))).strip()
            )
    why = f": there is no meaning {said!r}" if mark and named and said else ""
    raise UsageError(
        f"--column {text!r} is not HEADING=MEANING{why}",
        hint=f"the meanings are {', '.join(_NAMES)}; discount % or code, rating bar or psi",
    )


def _unit(text: str) -> tuple[str, str]:
    written, mark, code = (each.strip() for each in text.rpartition("="))
    try:
        found = unit_code(code) if mark and written else None
    except NotFoundError:
        found = None
    if found is None:
        raise UsageError(
            f"--unit {text!r} is not WRITTEN=CODE",
            hint="codes are those of UN/ECE Recommendation 20: EA, C62, H87, SET, PR, CEN, MTR …",
        )
    return unit_key(written), found.code


def _delimiter(text: str) -> str:
    found = _DELIMITERS.get(text.casefold(), text)
    if len(found) > 1 or found in ('"', "\r", "\n"):
        raise UsageError(
            f"--delimiter {text!r} is no single sign", hint='such as ";", ",", tab or "|"'
        )
    return found


def _encoding(text: str) -> str:
    try:
        return codecs.lookup(text).name if text and "a".encode(text) else ""
    except (LookupError, UnicodeError):
        raise UsageError(
            f"--encoding {text!r} is no text encoding",
            hint="such as utf-8, cp1252, cp850, utf-16-le",
        ) from None


def _decimal_mark(text: str) -> str:
    if text not in ("", ",", "."):
        raise UsageError(f"--decimal-mark {text!r} is no decimal mark", hint='it is "," or "."')
    return text


def _price_per(text: str) -> str:
    if text.casefold() in ("", PACK):
        return text.casefold()
    if not (text.isascii() and text.isdecimal() and 0 < int(text) <= _MOST_UNITS):
        hint = "such as 1, 100 or 1000; or pack"
        raise UsageError(f"--per {text!r} is no count of units", hint=hint)
    return str(int(text))


def _tax(text: str) -> str:
    """Return the percentage of tax in the prices, "0" where they are net, "" for nothing said."""
    if not text.strip():
        return ""
    found = _RATE.fullmatch(text.strip())
    if found is None:
        hint = "such as 19, 8.1 or 20%; 0 says that the prices are net after all"
        raise UsageError(f"--tax {text!r} is no percentage below 100", hint=hint)
    return as_rate(found[1])
