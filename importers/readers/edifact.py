"""EDIFACT price lists: PRICAT, and QUOTES, which has the same lines.

Code lists 1229, 2005, 4347, 5125, 6063 and 7143 of UN/EDIFACT directory D.96A, from memory.
"""

from __future__ import annotations

import re
from collections import Counter

from importers.decoding import decode
from importers.documents import Article, broken, sheet_of
from importers.limits import Limits
from importers.raw import RawFile, Source
from importers.readers.edifact_text import START, Message, Segment, messages_of
from importers.rows import Profile

_KINDS = ("PRICAT", "QUOTES")
_NET, _GROSS = ("AAA",), ("AAB", "AAE", "AAF", "INF")
_NUMBERS = {"SA": "code", "MF": "maker_number", "EN": "ean", "UP": "ean", "SRV": "ean"}
_FROM, _TO, _PERIOD = ("7", "157", "194"), ("36", "206"), ("273",)
_QUANTITIES = {"53": "min_qty", "52": "pack", "59": "pack"}
_LINE_OF_TEXT = 35  # an..35: a text cut there goes on in the next component


class Edifact:
    """Reads the line items of price messages; place is the segment, counted over the file."""

    name = "EDIFACT"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes start with UNB, or with UNA and UNB."""
        return START.match(source.data[:200]) is not None

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the items of all price messages; other messages are named as left out."""
        decoded = decode(source, profiles)
        found = RawFile(self.name, [], encoding=decoded.encoding, assumptions=[decoded.assumption])
        articles: list[Article] = []
        messages = messages_of(decoded.text, source, limits)
        for message in messages:
            if message.kind in _KINDS:
                articles += _Items(message, found.assumptions).articles
        others = Counter(m.kind for m in messages if m.kind not in _KINDS)
        found.skipped += [
            f"{count} {kind or 'unnamed'} messages are no price list and are not read"
            for kind, count in sorted(others.items())
        ]
        if not articles:
            kinds = ", ".join(sorted({m.kind for m in messages})) or "none"
            said = f"no price message with line items is in it (messages: {kinds})"
            raise broken(source, "", said)
        found.sheets.append(sheet_of("segment", articles, limits, place=source.name))
        return found


class _Items:
    """The line items of one message, with what its head says of all of them."""

    def __init__(self, message: Message, said: list[str]) -> None:
        self.articles: list[Article] = []
        self.said = said
        self.head: dict[str, str] = {}
        self.least = ""  # the quantity range that a PRI was given, if one follows it
        self.prices: list[tuple[str, Segment, str]] = []
        for segment in message.segments:
            handle = getattr(self, f"_{segment.tag.lower()}", None)
            if handle and segment.tag in _HANDLED:
                handle(segment)
        self._settle()

    @property
    def fields(self) -> dict[str, str]:
        """Return the fields being filled: the open article's, or those of the message's head."""
        return self.articles[-1].fields if self.articles else self.head

    def _lin(self, segment: Segment) -> None:
        self._settle()
        article = Article(segment.number, dict(self.head))
        self.articles.append(article)
        number, kind = segment.at(2, 0), segment.at(2, 1)
        if number:
            article.add(_NUMBERS.get(kind, "code"), number)
        if segment.at(1) == "2":
            article.refused = "the document deletes this article"

    def _pia(self, segment: Segment) -> None:
        if not self.articles:
            return
        for number, kind, *_ in ((*each, "", "") for each in segment.elements[1:]):
            if segment.at(0) in ("3", "4"):
                key = "superseded_by" if segment.at(0) == "3" else "replaces"
                self.articles[-1].add(key, number)
            elif kind in _NUMBERS:
                self.articles[-1].once(_NUMBERS[kind], number)

    def _imd(self, segment: Segment) -> None:
        if self.articles:
            text, rest = segment.at(2, 3), segment.at(2, 4)
            joint = "" if len(text) == _LINE_OF_TEXT else " "
            self.articles[-1].add("description", f"{text}{joint}{rest}")

    def _cux(self, segment: Segment) -> None:
        if segment.at(0, 1):
            self.fields["currency"] = segment.at(0, 1)

    def _dtm(self, segment: Segment) -> None:
        kind, text, form = segment.at(0, 0), segment.at(0, 1), segment.at(0, 2)
        for key, kinds in (("valid_from", _FROM), ("valid_to", _TO)):
            if kind in kinds and (day := _day(text, form)):
                self.fields[key] = day
        if kind in _PERIOD and form == "718" and len(text) == 16:
            self.fields["valid_from"] = _day(text[:8], "102")
            self.fields["valid_to"] = _day(text[8:], "102")

    def _nad(self, segment: Segment) -> None:
        if segment.at(0) == "MF" and self.articles:
            name = " ".join(part for part in (segment.at(3), segment.at(2)) if part)
            self.articles[-1].add("maker", name or segment.at(1))

    def _ali(self, segment: Segment) -> None:
        if self.articles:
            self.articles[-1].add("origin", segment.at(0))

    def _qty(self, segment: Segment) -> None:
        key = _QUANTITIES.get(segment.at(0, 0))
        if key and self.articles:
            self.articles[-1].once(key, _plain(segment.at(0, 1)))

    def _pri(self, segment: Segment) -> None:
        if self.articles:
            self.prices.append((segment.at(0, 0), segment, ""))

    def _rng(self, segment: Segment) -> None:
        if self.prices and segment.at(0) == "4":
            kind, price, _ = self.prices[-1]
            self.prices[-1] = kind, price, _plain(segment.at(1, 1))

    def _settle(self) -> None:
        """Give the collected prices to the open article: net, gross, and those from a quantity."""
        for kind, segment, least in self.prices:
            article = self.articles[-1]
            amount = _plain(segment.at(0, 1))
            per, unit = segment.at(0, 4), segment.at(0, 5)
            if kind in _NET and least.isdecimal() and int(least) > 1:
                article.price(f"price_from_{int(least)}", amount, per, unit)
            elif kind in _NET or kind in _GROSS:
                article.price("price" if kind in _NET else "list_price", amount, per, unit)
            else:
                article.odd.append(f'PRI of the kind "{kind}" is not read: {amount}')
            if kind in _GROSS and kind != "AAB":
                self.said.append(f"PRI+{kind} is information, taken as list price and not as net")
        self.prices = []


_HANDLED = ("LIN", "PIA", "IMD", "CUX", "DTM", "NAD", "ALI", "QTY", "PRI", "RNG")


def _plain(text: str) -> str:
    """Return a number with "." as its decimal mark.

    ISO 9735 (10.1, from memory) lets comma and point stand for it alike, and no thousands mark.
    """
    return text.strip().replace(",", ".")


def _day(text: str, form: str) -> str:
    """Return an ISO date for formats 102 (CCYYMMDD), 203 and 204 (with the time), "" for others."""
    if form not in ("102", "203", "204", "") or not re.fullmatch(r"[0-9]{8,14}", text):
        return ""
    return f"{text[:4]}-{text[4:6]}-{text[6:8]}"
