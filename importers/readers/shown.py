"""A stored number as a spreadsheet shows it: number formats become small compiled formatters."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal, DecimalException
from fractions import Fraction
from functools import lru_cache

from importers.raw import DATE, ERROR, LOST_DIGITS, NUMBER

# ECMA-376 part 1, 18.8.30: the formats that a workbook may use without defining them.
BUILT_IN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%",
    11: "0.00E+00", 12: "# ?/?", 13: "# ??/??", 14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm",
    17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss",
    22: "m/d/yy h:mm", 37: "#,##0", 38: "#,##0", 39: "#,##0.00", 40: "#,##0.00", 41: "#,##0",
    42: "$#,##0", 43: "#,##0.00", 44: "$#,##0.00", 45: "mm:ss", 46: "h:mm:ss", 47: "mm:ss.0",
    48: "0.0E+0", 49: "@",
}  # fmt: skip
_LOCALE = re.compile(r"\[\$([^\]\-]*)(?:-[^\]]*)?\]")
_BRACKET = re.compile(r"\[[^\]]*\]")
_LITERAL = re.compile(r'"([^"]*)"|\\(.)|_.|\*.')
# Figures and signs in the words of a format, while its places of digits are looked for.
_MASK = str.maketrans("0#?,.", "\ue000\ue001\ue002\ue003\ue004")
_UNMASK = {masked: sign for sign, masked in _MASK.items()}
_DATE_TOKEN = re.compile(r"y+|m+|d+|h+|s+|AM/PM|A/P|.", re.IGNORECASE | re.DOTALL)
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_FRACTION = re.compile(r"[#?0]\s*[#?0]*/\s*([?0]+|[1-9][0-9]{0,2})")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_SIGNIFICANT = 15  # a spreadsheet keeps and shows 15 digits; the rest is noise of binary fractions


@dataclass(frozen=True, slots=True)
class Format:
    """One number format: its kind and, for numbers, how the digits are laid out."""

    kind: str  # "general", "text", "fixed", "percent", "date", "fraction", "pattern"
    decimals: int = 0
    least_digits: int = 1
    before: str = ""
    after: str = ""
    pattern: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A cell as shown, its kind letter, and what the display hides ("" when nothing)."""

    text: str
    kind: str
    exact: str = ""


@lru_cache(maxsize=1024)
def compiled(code: str) -> Format:
    """Return the formatter of a number format code; only its first section counts."""
    section = _LOCALE.sub(lambda m: f'"{m.group(1)}"', code).split(";")[0]
    section = _BRACKET.sub("", section)
    bare = _LITERAL.sub("", section)
    if not bare.strip() or bare.strip().casefold() in ("general", "standard"):
        return Format("general")
    if "@" in bare:
        return Format("text")
    if re.search(r"[ymdhs]", bare, re.IGNORECASE) and not re.search(r"[0#?]", bare.split(".")[0]):
        return Format("date", pattern=_unquoted(section))
    if fraction := _FRACTION.search(bare):
        return Format("fraction", pattern=fraction.group(1))
    # Thousands cut off ("0,") and scientific display hide digits that are stored: take the digits.
    if re.search(r"E[+-]|[0#?],+(?:$|[^0#?,])", bare):
        return Format("general")
    return _number_format(section, bare)


def _number_format(section: str, bare: str) -> Format:
    digits = re.search(r"[0#?][0#?,.]*", bare)
    if not digits:
        return Format("general")
    whole, _, decimals = digits.group().partition(".")
    text = _LITERAL.sub(lambda m: (m.group(1) or m.group(2) or "").translate(_MASK), section)
    first, last = re.search(r"[0#?]", text), re.search(r".*[0#?]", text, re.DOTALL)
    before = text[: first.start()] if first else ""
    after = text[last.end() :] if last else ""
    shown = before.translate(_UNMASK), after.translate(_UNMASK)
    if re.search(r"[0#?][^0#?,.]+[0#?]", bare) or re.search(r'[0#?]["\\]', section.rstrip('"')):
        middle = text[len(before) : len(text) - len(after)]
        if re.search(r"[^0#?,.]", middle):
            return Format("pattern", before=shown[0], after=shown[1], pattern=middle)
    kind = "percent" if "%" in bare else "fixed"
    return Format(kind, sum(map(decimals.count, "0#?")), whole.count("0"), *shown)


def _unquoted(section: str) -> str:
    """Return a format section with literals in place and padding marks gone."""
    return _LITERAL.sub(lambda m: m.group(1) or m.group(2) or "", section)


def show(stored: str, form: Format, *, base_1904: bool) -> Shown:
    """Return a stored number as shown; raises ArithmeticError or ValueError when it is none."""
    if form.kind == "general" or form.kind == "text":
        return _general(stored)
    value = _rounded(Decimal(stored))
    if form.kind == "date":
        return _date(value, form.pattern, base_1904=base_1904)
    if form.kind == "fraction":
        return Shown(_as_fraction(value, form.pattern), NUMBER, _plain(value))
    if form.kind == "percent":
        value *= 100
    if form.kind == "pattern":
        return Shown(form.before + _into(form.pattern, value) + form.after, NUMBER, _plain(value))
    text = str(abs(value).quantize(Decimal(1).scaleb(-form.decimals), ROUND_HALF_UP))
    whole, dot, rest = text.partition(".")
    text = ("-" if value < 0 else "") + whole.zfill(form.least_digits) + dot + rest
    exact = "" if Decimal(text) == value else _plain(value)
    return Shown(f"{form.before}{text}{form.after}".strip(), NUMBER, exact)


def plain(value: int | float) -> Shown:
    """Return a number as a spreadsheet shows it without a format; an infinite one is an error."""
    try:
        return _general(repr(value))
    except (DecimalException, ValueError):
        return Shown(repr(value), ERROR)


def _general(stored: str) -> Shown:
    if stored.isascii() and stored.isdecimal() and len(stored) <= _SIGNIFICANT:
        return Shown(stored, NUMBER)
    value = Decimal(stored)
    if not value.is_finite():
        raise ValueError(stored)
    if abs(value) >= Decimal(10) ** _SIGNIFICANT:
        return Shown(f"{value:.6E}", LOST_DIGITS)
    return Shown(_plain(_rounded(value)), NUMBER)


def _rounded(value: Decimal) -> Decimal:
    """Return `value` with 15 significant digits, as a spreadsheet shows it at most."""
    if not value.is_finite() or abs(value.adjusted()) > 300:
        raise ValueError(str(value))
    if len(value.as_tuple().digits) <= _SIGNIFICANT:
        return value
    return value.quantize(Decimal(1).scaleb(value.adjusted() - _SIGNIFICANT + 1), ROUND_HALF_UP)


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _as_fraction(value: Decimal, pattern: str) -> str:
    """Show 1.25 as "1 1/4"; `pattern` is that of the denominator: "??" or a fixed "16"."""
    whole, rest = divmod(abs(value), 1)
    if pattern.isdecimal() and int(pattern):
        parts = int((rest * int(pattern)).quantize(Decimal(1), ROUND_HALF_UP))
        part = Fraction(parts, int(pattern))
    else:
        part = Fraction(rest).limit_denominator(10 ** min(len(pattern), 3) - 1)
    whole, part = whole + part // 1, part % 1
    shown = " ".join(
        text for text in (str(whole) if whole else "", str(part) if part else "") if text
    )
    return ("-" if value < 0 else "") + (shown or "0")


def _into(pattern: str, value: Decimal) -> str:
    """Fill the digits of a whole number into "00-000" from the right."""
    digits = list(str(abs(value.quantize(Decimal(1), ROUND_HALF_UP))))
    filled: list[str] = []
    for mark in reversed(pattern):
        if mark not in "0#?":
            filled.append(mark)
        elif digits:
            filled.append(digits.pop())
        elif mark == "0":
            filled.append("0")
    return "".join(digits) + "".join(reversed(filled)).translate(_UNMASK)


def _date(value: Decimal, pattern: str, *, base_1904: bool) -> Shown:
    """Show a day number; ECMA-376 18.17.4.1: day 60 of the 1900 base is a day that never was."""
    if not 0 <= value < 2_958_466:
        raise ValueError(str(value))
    start = datetime(1904, 1, 1) if base_1904 else datetime(1899, 12, 30)
    if not base_1904 and value < 60:
        start += timedelta(days=1)
    seconds = int((value * 86_400).quantize(Decimal(1), ROUND_HALF_UP))
    moment = start + timedelta(seconds=seconds)
    tokens = _DATE_TOKEN.findall(pattern)
    text = "".join(_date_piece(t, tokens, i, moment) for i, t in enumerate(tokens))
    exact = moment.date().isoformat() if value >= 1 else ""
    return Shown(text.strip(), DATE, exact)


def _date_piece(token: str, tokens: list[str], index: int, moment: datetime) -> str:
    low = token.lower()
    if low[0] == "m":
        return _month_or_minute(low, tokens, index, moment)
    pieces = {
        "y": f"{moment:%Y}" if len(low) > 2 else f"{moment:%y}",
        "d": f"{moment.day:0{min(len(low), 2)}d}" if len(low) < 3 else f"{moment:%a}",
        "h": f"{moment.hour:0{min(len(low), 2)}d}",
        "s": f"{moment.second:0{min(len(low), 2)}d}",
    }
    if low in ("am/pm", "a/p"):
        return "AM" if moment.hour < 12 else "PM"
    return pieces.get(low[0], token)


def _month_or_minute(low: str, tokens: list[str], index: int, moment: datetime) -> str:
    """An "m" after hours or before seconds is minutes, otherwise the month."""
    letters = [(i, t[0].lower()) for i, t in enumerate(tokens) if t[0].lower() in "ymdhs"]
    at = letters.index((index, "m"))
    before = letters[at - 1][1] if at else ""
    after = letters[at + 1][1] if at + 1 < len(letters) else ""
    if before == "h" or after == "s":
        return f"{moment.minute:0{min(len(low), 2)}d}"
    if len(low) >= 3:
        return _MONTHS[moment.month - 1]
    return f"{moment.month:0{len(low)}d}"


def unescaped(text: str) -> str:
    """Return text with _x000D_ and its like turned back (ECMA-376 part 1, 22.9.2.19)."""
    if "_x" not in text:
        return text
    return _ESCAPE.sub(lambda m: _character(m.group(0), int(m.group(1), 16)), text)


def _character(written: str, number: int) -> str:
    return written if 0xD800 <= number <= 0xDFFF or number == 0 else chr(number)
