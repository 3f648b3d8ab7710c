"""Price cells become plain decimal text: the decimal mark is decided per column, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from importers.currency_words import code_pattern

_SIGNS = {
    "€": "EUR", "eur": "EUR", "euro": "EUR", "£": "GBP", "gbp": "GBP", "us$": "USD", "usd": "USD",
    "$": "USD", "chf": "CHF", "sfr": "CHF", "sfr.": "CHF", "fr.": "CHF", "zł": "PLN", "₽": "RUB",
}  # fmt: skip
_SIGN = re.compile(
    r"€|£|₽|us\$|(?<![a-z])\$|\b(?:eur|euro|gbp|usd|chf|sfr\.?|fr\.|zł"
    rf"|{code_pattern()})(?![a-z])",
    re.IGNORECASE,
)
_FAST = re.compile(r"[1-9][0-9]{0,8}(?:[.,][0-9][0-9]?)?|0[.,][0-9][0-9]?")
_NUMBER = re.compile(r"[0-9][0-9.,]*|[.,][0-9]+")
_NO_PRICE = re.compile(
    r"p\.?o\.?a\.?|t\.?b\.?[acd]\.?|n/?a|call|ask|price on (?:application|request)|on request"
    r"|(?:please )?(?:call|ask|enquire|contact us|inquire).*"
    r"|(?:preis )?(?:auf|a\.) ?anfrage|a\.? ?a\."
    r"|anfragen?|auf anfr\.?|[-–—.*/x]+|k\. ?a\.|nicht lieferbar|entfällt|discontinued|obsolete",
    re.IGNORECASE,
)
_PER = re.compile(
    r"(?:/|\bper\b|\bje\b|\bpro\b|\bp\.)\s*(10000|1000|100|10|c\b|m\b|hundred|hundert|thousand|tausend)"
    r"(?:\s*(?:st|stk|stück|pcs?|pce|ea|units?)\b\.?)?",
    re.IGNORECASE,
)
_PER_WORDS = {"hundred": "100", "hundert": "100", "thousand": "1000", "tausend": "1000"}
_UNIT_TAIL = re.compile(
    r"\s*(?:/|\bper\b|\bje\b|\bpro\b)?\s*(?:st|stk|stück|pcs?|pce|ea|each|units?)\.?$",
    re.IGNORECASE,
)
_SOFT = re.compile(r"^(?:ca\.?|circa|approx\.?|ab|from|von|about|~|≈)\s*", re.IGNORECASE)
_LONGEST = 20  # a longer run of digits is a number of another kind
_GROUP_GAP = re.compile(r"(?<=[0-9])[ '’´`](?=[0-9]{3}(?:\D|$))")
_GROUPED = {mark: re.compile(rf"[0-9]{{1,3}}(?:{re.escape(mark)}[0-9]{{3}})+") for mark in ".,"}


@dataclass(frozen=True, slots=True)
class Amount:
    """One price cell: plain decimal text or "", what was odd, and what else the cell says."""

    text: str
    notes: tuple[str, ...] = ()
    per: str = ""
    currency: str = ""


@dataclass(frozen=True, slots=True)
class MarkDecision:
    """How a column writes decimals: the mark, or "" when undecided, with the counts behind it."""

    mark: str
    comma: int
    point: int
    ambiguous: int

    @property
    def is_mixed(self) -> bool:
        """Say whether some cells can only be read one way and others only the other way."""
        return self.comma > 0 and self.point > 0


def decide_mark(cells: Iterable[str], remembered: str = "") -> MarkDecision:
    """Count what each cell of a column proves about its decimal mark.

    A mixed column has no mark: its clear cells still speak for themselves. `remembered` (of the
    supplier's profile) decides only where no cell of the column does.
    """
    counts = {",": 0, ".": 0, "?": 0, "": 0}
    for cell in cells:
        counts[_proves(cell)] += 1
    comma, point = counts[","], counts["."]
    if comma and point:
        mark = ""
    elif comma or point:
        mark = "," if comma else "."
    else:
        mark = remembered
    return MarkDecision(mark, comma, point, counts["?"])


def _proves(cell: str) -> str:
    """Return the decimal mark that a cell proves, "?" when it could be either, "" for none."""
    found = _NUMBER.search(_tidy(cell)) if cell else None
    return _mark_of(found.group().rstrip(".,")) if found else ""


def _mark_of(digits: str) -> str:
    comma, point = digits.count(","), digits.count(".")
    if not comma and not point:
        return ""
    if comma and point:
        return "," if digits.rfind(",") > digits.rfind(".") else "."
    mark = "," if comma else "."
    if comma + point > 1:
        return "." if mark == "," else ","
    whole, _, rest = digits.partition(mark)
    if len(rest) != 3 or len(whole) > 3 or whole in ("", "0") or whole.startswith("0"):
        return mark
    return "?"


def read_amount(cell: str, mark: str) -> Amount:
    """Return the amount of a price cell under the decimal mark of its column ("" = undecided)."""
    if _FAST.fullmatch(cell) and (mark in cell or cell.isdecimal()) and mark:
        return _flagged(cell.replace(",", "."), [])
    text = _tidy(cell)
    if not text:
        return Amount("")
    if _NO_PRICE.fullmatch(text):
        return Amount("", (f"no price: {text}",))
    return _read_slowly(text, mark)


def _read_slowly(text: str, mark: str) -> Amount:
    notes: list[str] = []
    shown = text
    text, currency = _without_currency(text)
    text, per = _without_per(text)
    if per and not per.isdecimal():
        why = (
            f'the price cell says per "{per}": a hundred or thousand, or a metre? ask the supplier'
        )
        return Amount("", (why,), "", currency)
    if _SOFT.match(text):
        return Amount("", (f'price not firm: "{text}"',), per, currency)
    if per:
        notes.append(f"the price cell says per {per}")
    text, is_negative = _without_minus(_UNIT_TAIL.sub("", text))
    if not re.fullmatch(r"[0-9.,]+", text) or not any(map(str.isdecimal, text)):
        return Amount("", (f'no price can be read from "{shown}"',), per, currency)
    plain = _plain(text, mark) if len(text) <= _LONGEST else ""
    if not plain:
        why = f'ambiguous price: "{text}" may be read with decimal comma or decimal point'
        if _mark_of(text) != "?":
            why = f'no price can be read from "{shown}"'
        return Amount("", (why, *notes), per, currency)
    if mark and _mark_of(text) not in ("", "?", mark):
        notes.append(f'"{text}" is written with the other decimal mark than its column')
    amount = _flagged(("-" if is_negative else "") + plain, notes)
    return Amount(amount.text, amount.notes, per, currency)


def _plain(text: str, mark: str) -> str:
    """Return digits with a point as decimal mark, "" when the text is ambiguous or malformed."""
    proven = _mark_of(text)
    if proven == "":
        return text.strip(".,").lstrip("0") or "0"
    mark = mark if proven == "?" else proven
    if not mark:
        return ""
    whole, _, rest = text.rpartition(mark) if mark in text else (text, "", "")
    thousands = "," if mark == "." else "."
    if mark in whole or thousands in rest or not _is_grouped(whole, thousands):
        return ""
    whole = whole.replace(thousands, "").lstrip("0") or "0"
    return f"{whole}.{rest}" if rest else whole


def _is_grouped(whole: str, thousands: str) -> bool:
    return thousands not in whole or bool(_GROUPED[thousands].fullmatch(whole))


def _flagged(plain: str, notes: list[str]) -> Amount:
    # Neither is a price to buy at (handbook 8 no. 4): the row keeps its text, the amount is none.
    if not plain.strip("-0."):
        return Amount("", (*notes, "zero price"))
    if plain.startswith("-"):
        return Amount("", (*notes, f"negative price {plain}"))
    return Amount(plain, tuple(notes))


def _tidy(cell: str) -> str:
    """Return the cell with every kind of blank and minus made plain and digit gaps closed."""
    text = " ".join(cell.replace("−", "-").split())
    return _GROUP_GAP.sub("", text)


def currency_sign(cell: str) -> str:
    """Return the code of the currency that a cell shows, "" for none."""
    found = _SIGN.search(cell)
    return _code_of(found.group()) if found else ""


def currency_meant(text: str) -> str:
    """Return the code of a cell that is a currency's sign or word and no more, else the cell."""
    return _SIGNS.get(text.casefold(), text)


def _without_currency(text: str) -> tuple[str, str]:
    found = _SIGN.search(text)
    if not found:
        return text, ""
    rest = " ".join((text[: found.start()] + " " + text[found.end() :]).split())
    return rest, _code_of(found.group())


def _code_of(sign: str) -> str:
    return _SIGNS.get(sign.casefold(), sign.upper())


def _without_per(text: str) -> tuple[str, str]:
    found = _PER.search(text)
    if not found:
        return text, ""
    word = found.group(1).casefold()
    return text[: found.start()].strip(), _PER_WORDS.get(word, word)


def _without_minus(text: str) -> tuple[str, bool]:
    """Heed "-5.00", "5.00-", "(5.00)"; "12,-" and "12.–" are whole amounts, not negative ones."""
    text = re.sub(r"[.,]\s?[-–—]{1,2}$", "", text.strip("* "))
    if text.startswith("(") and text.endswith(")"):
        return text[1:-1].strip(), True
    is_negative = text.startswith("-") or text.endswith("-")
    return text.strip("- "), is_negative
