"""ANSI X12 price catalogues (832), with every count of the envelopes checked here.

Separators are those of each ISA. Segments LIN, CTP, PID, PO4, CUR, DTM and their code lists
(data elements 235, 236, 355, 374) are from memory of release 004010.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from importers.decoding import decode
from importers.documents import Article, broken, sheet_of
from importers.limits import Limits, refuse
from importers.raw import RawFile, Source
from importers.rows import Profile
from importers.wording import counted

_ISA = re.compile(r"ISA(?P<element>[^A-Za-z0-9\s])")
_ISA_CHARS = 106
_NUMBERS = {
    "VN": "code", "VP": "code", "VC": "code", "SK": "code", "MG": "maker_number",
    "MF": "maker_number", "UP": "ean", "EN": "ean", "UK": "ean", "EO": "ean", "UI": "ean",
}  # fmt: skip
_REPLACED = "F8"
_NET = ("NET", "UCP", "WHL", "CON", "PRO", "INV", "DIS", "CST")
_GROSS = ("LPR", "CAT", "MSR", "RES", "SLP")


@dataclass(frozen=True, slots=True)
class _Segment:
    number: int
    parts: tuple[str, ...]
    component: str

    @property
    def tag(self) -> str:
        return self.parts[0]

    def at(self, element: int) -> str:
        return self.parts[element].strip() if element < len(self.parts) else ""


@dataclass(slots=True)
class _Open:
    """What is open and how much was counted in it."""

    segment: _Segment
    count: int = 0
    segments: list[_Segment] = field(default_factory=list)


class X12:
    """Reads the articles of price catalogues; place is the segment, counted over the file."""

    name = "ANSI X12"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes start with an ISA segment."""
        return re.match(rb"\s*(?:\xef\xbb\xbf)?\s*ISA[^A-Za-z0-9\s]", source.data[:64]) is not None

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the articles of all 832 sets; raise ReaderError where an envelope miscounts."""
        decoded = decode(source, profiles)
        found = RawFile(self.name, [], encoding=decoded.encoding, assumptions=[decoded.assumption])
        articles: list[Article] = []
        for kind, segments in _sets(decoded.text, source, limits):
            if kind == "832":
                articles += _Catalogue(segments).articles
            else:
                found.skipped.append(f"a set {kind} is no price catalogue and is not read")
        if not articles:
            raise broken(source, "", "no price catalogue (832) with articles is in it")
        found.assumptions.append("prices without a quantity are taken as for one unit of the CTP")
        found.sheets.append(sheet_of("segment", articles, limits, place=source.name))
        return found


def _segments(text: str, source: Source) -> Iterator[_Segment]:
    """Yield the segments; each ISA names its separators by their places (X12.5)."""
    at, number, end, element, component = 0, 0, "", "", ""
    while True:
        while at < len(text) and text[at] in " \t\r\n\ufeff\x1a":
            at += 1
        if at >= len(text):
            return
        number += 1
        found = _ISA.match(text, at)
        if found:
            element = found.group("element")
            component, end = _signs(text[at : at + _ISA_CHARS], element, source, number)
        elif not end:
            raise broken(source, f"segment {number}", "the file does not start with ISA")
        until = text.find(end, at)
        if until < 0:
            raise broken(source, f"segment {number}", f"the segment is not closed with {end!r}")
        parts = text[at:until].replace("\r", "").replace("\n", "").split(element)
        yield _Segment(number, tuple(parts), component)
        at = until + len(end)


def _signs(isa: str, element: str, source: Source, number: int) -> tuple[str, str]:
    if len(isa) < _ISA_CHARS or isa.count(element) != 16 or isa[103] != element:
        said = f"ISA has not its fixed {_ISA_CHARS} characters and 16 elements"
        raise broken(source, f"segment {number}", said)
    component, end = isa[104], isa[105]
    if len({element, component, end}) < 3 or component.isalnum() or end.isalnum():
        raise broken(source, f"segment {number}", "ISA names one sign for two purposes")
    return component, end


_CLOSES = {"IEA": ("ISA", 13, 2), "GE": ("GS", 6, 2), "SE": ("ST", 2, 2)}
_OPENS = ("ISA", "GS", "ST")


def _sets(text: str, source: Source, limits: Limits) -> Iterator[tuple[str, list[_Segment]]]:
    """Yield each transaction set with its segments, after its envelope was found right."""
    stack: list[_Open] = []
    last = 0
    for segment in _segments(text, source):
        last = segment.number
        if last > limits.segments:
            place = f"{source.name} segment {last}"
            raise refuse("segments", last, limits.segments, place=place)
        if segment.tag in _OPENS:
            _open(stack, segment, source)
        elif segment.tag in _CLOSES:
            closed = _close(stack, segment, source)
            if segment.tag == "SE":
                yield closed.segment.at(1), closed.segments
        elif len(stack) == len(_OPENS):
            stack[-1].segments.append(segment)
        elif segment.tag not in ("TA1", "ISB", "ISE"):
            said = f"{segment.tag[:10]} stands outside of a set"
            raise broken(source, f"segment {last}", said)
    if stack:
        still = stack[-1].segment
        said = f"the file ends before {still.tag} of segment {still.number} is closed"
        raise broken(source, f"segment {last}", said)


def _open(stack: list[_Open], segment: _Segment, source: Source) -> None:
    if len(stack) >= len(_OPENS) or _OPENS[len(stack)] != segment.tag:
        raise broken(source, f"segment {segment.number}", f"{segment.tag} stands where it may not")
    if stack:
        stack[-1].count += 1
    stack.append(_Open(segment))


def _close(stack: list[_Open], segment: _Segment, source: Source) -> _Open:
    """Return what a closing segment closes; its count and its control number must agree."""
    where = f"segment {segment.number}"
    opens, control, stated = _CLOSES[segment.tag]
    if not stack or stack[-1].segment.tag != opens:
        raise broken(source, where, f"{segment.tag} closes no {opens}")
    closed = stack.pop()
    found = closed.count if segment.tag != "SE" else len(closed.segments) + 2
    if not segment.at(1).isdecimal() or int(segment.at(1)) != found:
        raise broken(source, where, f'{segment.tag} says "{segment.at(1)}", counted are {found}')
    if segment.at(stated) != closed.segment.at(control):
        is_open = closed.segment.at(control)
        said = f'{segment.tag} closes "{segment.at(stated)}", what is open is "{is_open}"'
        raise broken(source, where, said)
    items = sum(each.tag == "LIN" for each in closed.segments)
    for each in closed.segments if segment.tag == "SE" else ():
        if each.tag == "CTT" and (not each.at(1).isdecimal() or int(each.at(1)) != items):
            said = f'CTT says "{each.at(1)}" line items, the set has {items}'
            raise broken(source, f"segment {each.number}", said)
    return closed


class _Catalogue:
    """The articles of one set, with what its head says of all of them."""

    def __init__(self, segments: list[_Segment]) -> None:
        self.articles: list[Article] = []
        self.head: dict[str, str] = {}
        for segment in segments:
            if segment.tag in ("LIN", "CUR", "DTM", "PID", "PO4", "CTP", "N1", "LDT"):
                getattr(self, f"_{segment.tag.lower()}")(segment)

    @property
    def fields(self) -> dict[str, str]:
        return self.articles[-1].fields if self.articles else self.head

    def _lin(self, segment: _Segment) -> None:
        article = Article(segment.number, dict(self.head))
        self.articles.append(article)
        for at in range(2, len(segment.parts) - 1, 2):
            kind, number = segment.at(at), segment.at(at + 1)
            if kind == _REPLACED:
                article.add("replaces", number)
            elif kind in _NUMBERS:
                article.once(_NUMBERS[kind], number)
            elif kind == "CH":
                article.add("origin", number)

    def _cur(self, segment: _Segment) -> None:
        self.fields["currency"] = segment.at(2)

    def _dtm(self, segment: _Segment) -> None:
        key = {"007": "valid_from", "036": "valid_to", "197": "valid_to"}.get(segment.at(1))
        if key and re.fullmatch(r"[0-9]{8}", day := segment.at(2)):
            self.fields[key] = f"{day[:4]}-{day[4:6]}-{day[6:]}"

    def _pid(self, segment: _Segment) -> None:
        if self.articles:
            self.articles[-1].add("description", segment.at(5))

    def _n1(self, segment: _Segment) -> None:
        if self.articles and segment.at(1) == "MF":
            self.articles[-1].add("maker", segment.at(2))

    def _ldt(self, segment: _Segment) -> None:
        if self.articles and segment.at(3) in ("DA", "DY"):
            self.articles[-1].once("lead_days", segment.at(2))

    def _po4(self, segment: _Segment) -> None:
        if not self.articles:
            return
        packs, size = segment.at(1), segment.at(2)
        whole = [int(text) for text in (packs, size or "1") if text.isdecimal()]
        if len(whole) == 2 and whole[1] == 1:
            self.articles[-1].once("pack", packs)
        elif packs:
            self.articles[-1].odd.append(
                f"pack of {packs} of {size} {segment.at(3)}: ask what it holds"
            )

    def _ctp(self, segment: _Segment) -> None:
        """CTP02 the kind of price, CTP03 the price, CTP04 from how many units, CTP05 the unit."""
        if not self.articles:
            return
        article, kind = self.articles[-1], segment.at(2)
        unit = segment.at(5).split(segment.component)[0]
        least = segment.at(4)
        if kind not in _NET + _GROSS:
            article.odd.append(f'CTP of the kind "{kind}" is not read: {segment.at(3)}')
        elif kind in _GROSS:
            article.price("list_price", segment.at(3), unit=unit)
        elif least.isdecimal() and int(least) > 1:
            self._from(article, segment.at(3), int(least), unit)
        else:
            article.price("price", segment.at(3), unit=unit)

    def _from(self, article: Article, price: str, least: int, unit: str) -> None:
        """A price from several units on is a break beside a price for one, else the price."""
        if "price" in article.fields:
            article.price(f"price_from_{least}", price, unit=unit)
            return
        article.price("price", price, unit=unit)
        article.once("min_qty", str(least))
        article.odd.append(f"the price holds only from {counted(least, 'unit')}")
