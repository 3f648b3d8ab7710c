"""XML from strangers: no document type, no entities, a bound on depth and number of elements."""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.parsers import expat

from importers.limits import Limits, refuse
from importers.raw import Source
from importers.rows import ReaderError

_CHUNK = 1 << 16


@dataclass(slots=True)
class Node:
    """One element: its name without namespace, attributes, text, children."""

    name: str
    attrs: dict[str, str]
    text: str = ""
    children: list[Node] = field(default_factory=list)

    def all(self, path: str) -> list[Node]:
        """Return the elements at a path of names, "Item/Description", in document order."""
        found = [self]
        for name in path.split("/"):
            found = [child for node in found for child in node.children if child.name == name]
        return found

    def first(self, path: str) -> str:
        """Return the text of the first element at a path, "" when there is none."""
        found = self.all(path)
        return found[0].text if found else ""


def parse(source: Source, limits: Limits) -> Node:
    """Return the root element; raise ReaderError for broken, deep, huge or declared XML."""
    builder = _Builder(source, limits)
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = builder.start, builder.end
    parser.CharacterDataHandler = builder.characters
    parser.StartDoctypeDeclHandler = builder.doctype
    builder.parser = parser
    data = source.data
    try:
        for at in range(0, len(data), _CHUNK):
            parser.Parse(data[at : at + _CHUNK], False)
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        line = parser.CurrentLineNumber
        raise ReaderError(
            f"the XML is broken ({error})",
            place=f"{source.name} line {line}",
            hint="ask the supplier to send the document again",
        ) from error
    return builder.root.children[0]


class _Builder:
    """Takes the parser's events and builds the tree."""

    parser: expat.XMLParserType

    def __init__(self, source: Source, limits: Limits) -> None:
        self.source, self.limits = source, limits
        self.root = Node("", {})
        self.stack = [self.root]
        self.pieces: list[str] = []
        self.count = 0

    def start(self, name: str, attrs: dict[str, str]) -> None:
        self.count += 1
        if len(self.stack) > self.limits.depth:
            raise refuse("depth", len(self.stack), self.limits.depth, place=self._place())
        if self.count > self.limits.elements:
            raise refuse("elements", self.count, self.limits.elements, place=self._place())
        node = Node(_local(name), {_local(key): value for key, value in attrs.items()})
        self.stack[-1].children.append(node)
        self.stack.append(node)
        self.pieces = []

    def end(self, name: str) -> None:
        node = self.stack.pop()
        if not node.children:
            node.text = " ".join("".join(self.pieces).split())
        self.pieces = []

    def characters(self, text: str) -> None:
        self.pieces.append(text)

    def doctype(self, *_: object) -> None:
        raise ReaderError(
            "the document carries an XML document type declaration, which no honest list needs",
            place=self._place(),
            hint="do not open this file; ask the supplier for a clean one",
        )

    def _place(self) -> str:
        return f"{self.source.name} line {self.parser.CurrentLineNumber}"


def _local(name: str) -> str:
    return name.rpartition(" ")[2]
