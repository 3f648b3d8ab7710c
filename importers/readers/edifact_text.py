"""EDIFACT interchanges (ISO 9735) as segments, with every count of the envelopes checked here.

Separators are those of the UNA that stands before an interchange, wherever and however often one
comes; the release character is heeded. UNT, UNE and UNZ, and CNT+2, must count what is there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from importers.documents import broken
from importers.limits import Limits, refuse
from importers.raw import Source
from importers.rows import ReaderError

START = re.compile(rb"\s*(?:\xef\xbb\xbf)?\s*(?:(?:UNA[^A-Za-z0-9]{6}\s*)+UNB|UNB\+)", re.DOTALL)
_DEFAULT = ":+.? '"
_TAG = re.compile(r"[A-Z][A-Z0-9]{2}")


@dataclass(frozen=True, slots=True)
class Segment:
    """One segment: its 1-based number in the file, its tag, its elements as components."""

    number: int
    tag: str
    elements: tuple[tuple[str, ...], ...]

    def at(self, element: int, component: int = 0) -> str:
        """Return a component by 0-based places, "" when the segment ends before it."""
        parts = self.elements[element] if element < len(self.elements) else ()
        return parts[component] if component < len(parts) else ""


@dataclass(slots=True)
class Message:
    """One message: its type ("PRICAT") and its segments from UNH to UNT."""

    kind: str
    segments: list[Segment] = field(default_factory=list)


def messages_of(text: str, source: Source, limits: Limits) -> list[Message]:
    """Return the messages of all interchanges; raise ReaderError where an envelope miscounts."""
    envelopes = _Envelopes(source)
    for segment in _segments(text, source):
        if segment.number > limits.segments:
            place = f"{source.name} segment {segment.number}"
            raise refuse("segments", segment.number, limits.segments, place=place)
        envelopes.take(segment)
    return envelopes.closed()


def _segments(text: str, source: Source) -> Iterator[Segment]:
    """Yield each segment, split by the separators that hold for it."""
    signs, at, number = _DEFAULT, 0, 0
    pattern = _pattern(signs)
    while True:
        at = _past_blanks(text, at)
        if at >= len(text):
            return
        if text.startswith("UNA", at) and len(text) >= at + 9 and not text[at + 3].isalnum():
            signs, at = text[at + 3 : at + 9], at + 9
            if len({*signs[:2], signs[5]}) < 3:
                raise broken(source, f"segment {number + 1}", "UNA names one sign for two purposes")
            pattern = _pattern(signs)
            continue
        number += 1
        found = pattern.match(text, at)
        if not found or not text.startswith(signs[5], found.end()):
            raise broken(
                source, f"segment {number}", f'the segment is not closed with "{signs[5]}"'
            )
        yield _segment(number, found.group(), signs, source)
        at = found.end() + 1


def _past_blanks(text: str, at: int) -> int:
    while at < len(text) and text[at] in " \t\r\n\ufeff\x1a":
        at += 1
    return at


def _pattern(signs: str) -> re.Pattern[str]:
    """Return what a segment looks like up to its end sign; a released sign is no end."""
    end, free = re.escape(signs[5]), re.escape(signs[3])
    if signs[3] == " ":
        return re.compile(f"[^{end}]*", re.DOTALL)
    return re.compile(f"[^{end}{free}]*(?:{free}.[^{end}{free}]*)*", re.DOTALL)


def _segment(number: int, written: str, signs: str, source: Source) -> Segment:
    component, element, release = signs[0], signs[1], signs[3]
    flat = written.replace("\r", "").replace("\n", "")
    parts = [
        tuple(_free(each, release) for each in _split(whole, component, release))
        for whole in _split(flat, element, release)
    ]
    tag = parts[0][0]
    if not _TAG.fullmatch(tag):
        raise broken(source, f"segment {number}", f'"{tag[:10]}" is no segment name')
    return Segment(number, tag, tuple(parts[1:]))


def _split(text: str, sign: str, release: str) -> list[str]:
    """Split at a sign that is not released; the release characters stay in."""
    pieces = text.split(sign)
    if release == " " or release not in text:
        return pieces
    joined: list[str] = []
    is_open = False
    for piece in pieces:
        if is_open:
            joined[-1] += sign + piece
        else:
            joined.append(piece)
        is_open = (len(piece) - len(piece.rstrip(release))) % 2 == 1
    return joined


def _free(text: str, release: str) -> str:
    if release == " " or release not in text:
        return text
    return re.sub(re.escape(release) + "(.)", r"\1", text)


class _Envelopes:
    """Follows UNB, UNG, UNH and their ends, and counts."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.messages: list[Message] = []
        self.interchange: Segment | None = None
        self.group: Segment | None = None
        self.opened: Segment | None = None
        self.counts = {"UNZ": 0, "UNE": 0}
        self.last = 0

    def take(self, segment: Segment) -> None:
        """Take the next segment; raise ReaderError where it contradicts those before."""
        self.last = segment.number
        handle = getattr(self, f"_{segment.tag.lower()}", None)
        if handle and segment.tag in ("UNB", "UNG", "UNH", "UNT", "UNE", "UNZ"):
            handle(segment)
        elif self.opened is None:
            raise self._wrong(segment, f"{segment.tag} stands outside of a message")
        else:
            self.messages[-1].segments.append(segment)

    def closed(self) -> list[Message]:
        """Return the messages; raise ReaderError when the file ends before its envelopes do."""
        for start, end in ((self.opened, "UNT"), (self.group, "UNE"), (self.interchange, "UNZ")):
            if start is not None:
                where = f"segment {self.last}"
                said = f"the file ends without the {end} that closes segment {start.number}"
                raise broken(self.source, where, said)
        return self.messages

    def _unb(self, segment: Segment) -> None:
        self._expect(segment, self.interchange is None, "an interchange is still open")
        self.interchange = segment
        self.counts = {"UNZ": 0, "UNE": 0}

    def _ung(self, segment: Segment) -> None:
        is_right = self.interchange is not None and self.group is None
        self._expect(segment, is_right, "a group begins where none may")
        self.group, self.counts["UNE"] = segment, 0
        self.counts["UNZ"] += 1

    def _unh(self, segment: Segment) -> None:
        is_right = self.interchange is not None and self.opened is None
        self._expect(segment, is_right, "a message begins where none may")
        self.opened = segment
        self.counts["UNE" if self.group else "UNZ"] += 1
        self.messages.append(Message(segment.at(1), [segment]))

    def _unt(self, segment: Segment) -> None:
        start = self.opened
        if start is None:
            raise self._wrong(segment, "UNT closes no message")
        message = self.messages[-1]
        message.segments.append(segment)
        self._count(segment, len(message.segments), "segments, its message")
        self._same(segment.at(1), start.at(0), segment)
        items = sum(each.tag == "LIN" for each in message.segments)
        for each in message.segments:
            if each.tag == "CNT" and each.at(0) == "2":
                self._count(each, items, "line items, its message", component=1)
        self.opened = None

    def _une(self, segment: Segment) -> None:
        if self.group is None or self.opened is not None:
            raise self._wrong(segment, "UNE closes no group")
        self._count(segment, self.counts["UNE"], "messages, its group")
        self._same(segment.at(1), self.group.at(4), segment)
        self.group = None

    def _unz(self, segment: Segment) -> None:
        if self.interchange is None or self.opened is not None or self.group is not None:
            raise self._wrong(segment, "UNZ closes no interchange")
        self._count(segment, self.counts["UNZ"], "messages or groups, its interchange")
        self._same(segment.at(1), self.interchange.at(4), segment)
        self.interchange = None

    def _count(self, segment: Segment, found: int, what: str, component: int = 0) -> None:
        stated = segment.at(0, component)
        if not stated.isdecimal() or int(stated) != found:
            raise self._wrong(segment, f'{segment.tag} says "{stated}" {what} has {found}')

    def _same(self, end: str, start: str, segment: Segment) -> None:
        if end != start:
            said = f'{segment.tag} closes "{end}", what is open is "{start}"'
            raise self._wrong(segment, said)

    def _expect(self, segment: Segment, is_right: bool, said: str) -> None:
        if not is_right:
            raise self._wrong(segment, said)

    def _wrong(self, segment: Segment, said: str) -> ReaderError:
        return broken(self.source, f"segment {segment.number}", said)
