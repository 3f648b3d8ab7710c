"""Bounds how deep the elements of XML may be nested: every open one costs a parser memory."""

from __future__ import annotations

from collections.abc import Callable
from xml.parsers import expat

from importers.limits import Limits, refuse
from importers.rows import ReaderError

Start = Callable[[str, dict[str, str]], object]
End = Callable[[str], object]


def _nothing(*_: object) -> None:
    """Take an element that nobody asks for."""


def bounded_parser(
    limits: Limits, *, place: str, start: Start = _nothing, end: End = _nothing
) -> expat.XMLParserType:
    """Return a parser that hands on the elements and refuses what is nested too deep."""
    deep = 0

    def opens(name: str, attrs: dict[str, str]) -> None:
        nonlocal deep
        deep += 1
        if deep > limits.depth:
            raise too_deep(limits, place=place)
        start(name, attrs)

    def closes(name: str) -> None:
        nonlocal deep
        deep -= 1
        end(name)

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = opens, closes
    return parser


def too_deep(limits: Limits, *, place: str) -> ReaderError:
    """Return the refusal of elements that are nested beyond the limit."""
    return refuse("depth", limits.depth + 1, limits.depth, place=place)
