"""What a spreadsheet makes of a part number typed into a cell.

The damage is modelled forward only: `spreadsheet_forms` says what a sheet would have made of a
number that we know, `damages` which such form a written code may be. Nothing is guessed backwards:
a code whose form no known number takes stays what it is.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

LEADING_ZEROS = "leading zeros lost"
SCIENTIFIC = "scientific notation"
DATE = "date made from a number"
THOUSANDS = "thousands separator added"
TRAILING_ZERO = "trailing .0 added"
LOST_DECIMALS = "trailing zeros lost"
FIFTEEN_DIGITS = "cut to fifteen digits"

# A cell holds fifteen digits; from twelve on it shows a number in scientific notation.
_SHEET_DIGITS = 15
_SHEET_SHOWN = 12
_MONTHS = {
    name: month
    for month, names in enumerate(
        ("JAN JANUARY JANUAR JÄN", "FEB FEBRUARY FEBRUAR", "MAR MARCH MRZ MÄR MÄRZ", "APR APRIL",
         "MAY MAI", "JUN JUNE JUNI", "JUL JULY JULI", "AUG AUGUST", "SEP SEPT SEPTEMBER",
         "OCT OKT OCTOBER OKTOBER", "NOV NOVEMBER", "DEC DEZ DECEMBER DEZEMBER"), start=1
    )
    for name in names.split()
}  # fmt: skip
_SCIENTIFIC = re.compile(r"(\d)(?:[.,](\d+))?E\+?(\d{1,3})")
_E_NUMBER = re.compile(r"(\d+)(?:[.,](\d+))?E\+?(\d{1,2})")
_DECIMAL = re.compile(r"(\d+)[.,](\d+)")
_GROUPED = re.compile(r"\d{1,3}(?:([.,' ])\d{3})(?:\1\d{3})*")
_TWO_PARTS = re.compile(r"(\d{1,2})[-/.](\d{1,4})")
_THREE_PARTS = re.compile(r"(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})")
_MONTH_FIRST = re.compile(r"([A-ZÄ]{3,9})[-./ ]*(\d{1,4})")
_MONTH_LAST = re.compile(r"(\d{1,2})[-./ ]*([A-ZÄ]{3,9})(?:[-./ ]*(\d{2,4}))?")


def spreadsheet_forms(number: str) -> frozenset[str]:
    """Return the forms that a spreadsheet may have given `number` when it was typed into a cell.

    Forms are keys to compare with those of `damages`: "n:" a value, "s:" a value in scientific
    notation as shown, "d:" a day and month, "m:" a month and year. Empty: the number is safe.
    """
    plain = plain_cell(number)
    if not plain or not (plain[0].isdigit() or plain[:3] in _MONTHS):
        return frozenset()
    return frozenset((*_value_forms(plain), *_date_forms(plain)))


def is_altered(number: str) -> bool:
    """Say whether a spreadsheet may show `number` otherwise once it was typed into a cell.

    A plain figure of up to eleven digits becomes a number and shows the same.
    """
    return bool(spreadsheet_forms(number) - {f"n:{plain_cell(number)}"})


# One line of a list is looked at several times.
@lru_cache(maxsize=4096)
def damages(code: str) -> tuple[tuple[str, str], ...]:
    """Return (form, damage name) for each spreadsheet damage that `code` may have suffered.

    A sheet shows a value without leading zeros: a code that has some was never a value.
    """
    plain = plain_cell(code)
    found = [(form, DATE) for form in dict.fromkeys(_shown_date_forms(plain))]
    if match := _SCIENTIFIC.fullmatch(plain):
        found.append((_scientific(match[1] + (match[2] or ""), int(match[3])), SCIENTIFIC))
    if len(plain) > 1 and plain[0] == "0" and plain[1] not in ".,":
        return tuple(dict.fromkeys(found))
    if _GROUPED.fullmatch(plain):
        found.append((_value(re.sub(r"\D", "", plain)), THOUSANDS))
    if match := _DECIMAL.fullmatch(plain):
        found.extend(_shown_decimal(match[1], match[2]))
    if plain.isdecimal():
        name = FIFTEEN_DIGITS if len(plain) > _SHEET_DIGITS else LEADING_ZEROS
        found.append((_value(plain), name))
        found.append((_value(plain), LOST_DECIMALS))
    return tuple(dict.fromkeys(found))


def _shown_decimal(whole: str, decimals: str) -> Iterator[tuple[str, str]]:
    """Yield the form of a value shown with decimals: all of them zeros, or none at the end."""
    if not decimals.strip("0"):
        yield _value(whole, decimals), TRAILING_ZERO
    elif not decimals.endswith("0"):
        yield _value(whole, decimals), LOST_DECIMALS


def plain_cell(number: str) -> str:
    """Return `number` in upper case, normalised, without the marks that force text in a cell."""
    plain = number if number.isascii() else unicodedata.normalize("NFKC", number)
    plain = plain.upper().strip()
    return plain.removeprefix("=").strip("\"'").strip()


def _value(whole: str, decimals: str = "") -> str:
    """Return the form of a cell's value: no leading zeros, fifteen digits, no empty decimals."""
    whole, decimals = whole.lstrip("0") or "0", decimals.rstrip("0")
    kept = whole[:_SHEET_DIGITS] + "0" * max(0, len(whole) - _SHEET_DIGITS)
    return f"n:{kept}.{decimals}" if decimals else f"n:{kept}"


def _scientific(digits: str, exponent: int) -> str:
    """Return the form of a value shown as d.ddE+nn, its empty decimals dropped."""
    return f"s:{digits[0]}.{digits[1:].rstrip('0')}E{exponent}"


def _shown_scientific(whole: str, exponent: int) -> Iterator[str]:
    """Yield the scientific forms of `whole` x 10^`exponent` at one to six shown digits."""
    whole = whole.lstrip("0")
    if not whole:
        return
    for shown in range(6):
        text = f"{Decimal(whole).scaleb(exponent):.{shown}E}"
        digits, _, power = text.partition("E")
        yield _scientific(digits.replace(".", ""), int(power))


def _value_forms(plain: str) -> Iterator[str]:
    """Yield the values and scientific forms that a cell makes of a number typed as `plain`."""
    if plain.isdecimal():
        yield _value(plain)
        if len(plain.lstrip("0")) >= _SHEET_SHOWN:
            yield from _shown_scientific(plain, 0)
    if match := _DECIMAL.fullmatch(plain):
        yield _value(match[1], match[2])
    if _GROUPED.fullmatch(plain):
        yield _value(re.sub(r"\D", "", plain))
    if match := _E_NUMBER.fullmatch(plain):
        decimals = match[2] or ""
        exponent = int(match[3]) - len(decimals)
        yield from _shown_scientific(match[1] + decimals, exponent)
        if 0 <= exponent <= _SHEET_DIGITS:
            yield _value(match[1] + decimals + "0" * exponent)


def _date_forms(plain: str) -> Iterator[str]:
    """Yield the dates that a cell makes of a number typed as `plain`, in either order."""
    if match := _TWO_PARTS.fullmatch(plain):
        first, second = int(match[1]), int(match[2])
        yield from _day_forms(first, second)
        yield from _day_forms(second, first)
        if len(match[2]) in (2, 4) and (second > 31 or len(match[2]) == 4):
            yield from _month_forms(first, match[2])
    if match := _THREE_PARTS.fullmatch(plain):
        yield from _three_part_forms(match[1], match[2], match[3])
    yield from _named_month_forms(plain)


def _three_part_forms(first: str, second: str, third: str) -> Iterator[str]:
    """Yield day, month and year of a number of three parts, in each order that is a date."""
    if len(first) > 2:
        yield from _day_forms(int(third), int(second), first)
        return
    yield from _day_forms(int(first), int(second), third)
    yield from _day_forms(int(second), int(first), third)


def _named_month_forms(plain: str) -> Iterator[str]:
    """Yield the dates of a text with a month's name: "5-Mar", "Mar-05", "MAR5"."""
    if (match := _MONTH_FIRST.fullmatch(plain)) and match[1] in _MONTHS:
        month = _MONTHS[match[1]]
        yield from _day_forms(int(match[2]), month)
        if len(match[2]) in (2, 4):
            yield from _month_forms(month, match[2])
    if (match := _MONTH_LAST.fullmatch(plain)) and match[2] in _MONTHS:
        yield from _day_forms(int(match[1]), _MONTHS[match[2]], match[3] or "")


def _shown_date_forms(plain: str) -> Iterator[str]:
    """Yield the forms that a date shown as `plain` may have come from: with its year and without.

    A sheet adds the year of the day on which the number was typed, so a full date may stand for a
    number of two parts; a date shown as day and month may not stand for one of three.
    """
    plain = plain.removesuffix(" 00:00:00")
    yield from _named_month_forms(plain)
    if match := _THREE_PARTS.fullmatch(plain):
        yield from _three_part_forms(match[1], match[2], match[3])
        day, month = (match[3], match[2]) if len(match[1]) > 2 else (match[1], match[2])
        yield from _day_forms(int(day), int(month))
        if len(match[1]) <= 2:
            yield from _day_forms(int(month), int(day))
        if len(match[1]) > 2 and int(match[3]) == 1:
            yield from _month_forms(int(month), match[1])
    if (match := _MONTH_LAST.fullmatch(plain)) and match[2] in _MONTHS and match[3]:
        yield from _day_forms(int(match[1]), _MONTHS[match[2]])


def _day_forms(day: int, month: int, year: str = "") -> Iterator[str]:
    """Yield the form of a day in a month, and year by its last two digits, if there is one."""
    if 1 <= month <= 12 and 1 <= day <= 31:
        yield f"d:{day}.{month}.{year[-2:]}"


def _month_forms(month: int, year: str) -> Iterator[str]:
    """Yield the form of a month in a year, by its last two digits."""
    if 1 <= month <= 12:
        yield f"m:{month}.{year[-2:]}"
