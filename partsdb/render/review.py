"""A question as text: the line and each part that it may mean side by side, differences marked."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section
from partsdb.rules.counting import counted
from partsdb.rules.numbers import number_runs

_WORDS = re.compile(r"[^\s,;]+|[,;]|\s+")
_RUN = re.compile(r"[A-Za-z]+|[0-9]+|[^A-Za-z0-9]+")
_SIGNS = {"for": "=", "against": "~", "veto": "!"}
_LABEL = 14
_NARROWEST = 30
KEYS = (
    ("1 to 5", "this candidate is the very part"),
    ("r 1 to 5", "the line sells a replacement for this candidate"),
    ("w 1 to 5", "the line is not this candidate: never settle it so again"),
    ("=", "another part of ours: type =Maker|Number, or r=Maker|Number for a replacement"),
    ("n", "a new part: of our trade, but none of ours"),
    ("o", "not ours: no position of ours uses it"),
    ("x", "no part at all: a heading, a charge, a note"),
    ("g", "answer all lines of the same pattern together, after seeing them"),
    ("s", "skip for now"),
    ("u", "undo the last answer"),
    ("q", "quit; what was decided stays"),
    ("?", "this help"),
)
LEGEND = "= agrees   ~ differs   ! contradicts, which rules the candidate out   [ ] what differs"


def question_text(question: object, width: int, *, alike: int = 1) -> str:
    """Return one question: what is at stake, what the line says, and each candidate beside it."""
    facts: dict[str, Any] = plain(question)
    blocks = [_head(facts, alike, width), _line(facts, width)]
    for number, proposal in enumerate(facts["proposals"], start=1):
        blocks.append(_proposal(number, proposal, facts, width))
    if not facts["proposals"]:
        blocks.append("  no part of ours is proposed")
    return paragraphs(blocks)


def _head(facts: Mapping[str, Any], alike: int, width: int) -> str:
    stakes = ["holds pressure" if facts["holds_pressure"] else "holds no pressure"]
    if facts["price"]:
        stakes.append(facts["price"])
    machines = facts["machines"]
    stakes.append(f"{len(machines)} machines" if len(machines) != 1 else machines[0])
    if alike > 1:
        stakes.append(f"{counted(alike, 'line')} like it (g)")
    doubts = bullets(facts["doubts"], width) if facts["doubts"] else f"- read as {facts['reading']}"
    return f"{facts['place']}: {', '.join(stakes)}\n{doubts}"


def _line(facts: Mapping[str, Any], width: int) -> str:
    return card({f"  {name}": value for name, value in facts["fields"].items()}, width)


def _proposal(
    number: int, proposal: Mapping[str, Any], facts: Mapping[str, Any], width: int
) -> str:
    """Return a candidate: numbers and descriptions side by side, then what each trait says."""
    ruled_out = "  (ruled out)" if proposal["is_vetoed"] else ""
    head = f"{number}) {proposal['maker']} {proposal['number']}{ruled_out}"
    ours, theirs = marked_numbers(proposal["number"], facts["written"])
    own, said = marked_words(proposal["description"], facts["fields"].get("description", ""))
    rows = [("", "ours", "the line"), ("number", ours, theirs), ("says", own, said)]
    return "\n".join([head, side_by_side(rows, width), *_traits(proposal["evidence"])])


def _traits(evidence: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return what agrees in one line, and every difference in a line of its own."""
    told = [(each, each["text"].removeprefix(f"{each['name']} ")) for each in evidence]
    agrees = ", ".join(f"{each['name']} {text}" for each, text in told if each["weighs"] == "for")
    return [f"   = {agrees}"] * bool(agrees) + [
        f"   {_SIGNS.get(each['weighs'], '~')} {each['name']}: {text}"
        for each, text in told
        if each["weighs"] != "for"
    ]


def side_by_side(rows: Sequence[tuple[str, str, str]], width: int) -> str:
    """Return labelled pairs in two columns, or one under the other where there is no room."""
    room = (width - _LABEL - 3) // 2
    if room < _NARROWEST:
        return "\n".join(
            f"   {label:<9} {side:<5} {text}".rstrip()
            for label, left, right in rows[1:]
            for side, text in (("ours", left), ("line", right))
        )
    lines = []
    for label, left, right in rows:
        pairs = zip_longest(_broken(left, room), _broken(right, room), fillvalue="")
        for at, (one, other) in enumerate(pairs):
            name = label if at == 0 else ""
            lines.append(f"   {name:<{_LABEL - 3}}{one:<{room}}   {other}".rstrip())
    return "\n".join(lines)


def _broken(text: str, room: int) -> list[str]:
    import textwrap

    # A part number is never cut: one that is longer than the column sticks out.
    return textwrap.wrap(text, room, break_long_words=False, break_on_hyphens=False) or [""]


def marked_numbers(ours: str, theirs: str) -> tuple[str, str]:
    """Return both numbers with the signs that differ in brackets, run by run."""
    if number_runs(ours) == number_runs(theirs):
        return ours, theirs
    one, other = _RUN.findall(ours), _RUN.findall(theirs)
    left, right = [], []
    folded = [run.upper() for run in one], [run.upper() for run in other]
    for kind, a, b, c, d in SequenceMatcher(None, *folded, autojunk=False).get_opcodes():
        mine, yours = "".join(one[a:b]), "".join(other[c:d])
        if kind != "equal":
            mine, yours = _marked_signs(mine, yours)
        left.append(mine)
        right.append(yours)
    return "".join(left), "".join(right)


def _marked_signs(one: str, other: str) -> tuple[str, str]:
    """Return two runs with brackets around what is neither their common begin nor their end."""
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    end = 0
    while end < min(len(one), len(other)) - start and one[-1 - end] == other[-1 - end]:
        end += 1
    return _bracketed(one, start, end), _bracketed(other, start, end)


def _bracketed(text: str, start: int, end: int) -> str:
    stop = len(text) - end
    return f"{text[:start]}[{text[start:stop]}]{text[stop:]}" if start < stop else text


def marked_words(ours: str, theirs: str) -> tuple[str, str]:
    """Return both descriptions with the words that the other lacks in brackets."""
    mine = {word.casefold() for word in _WORDS.findall(ours)}
    yours = {word.casefold() for word in _WORDS.findall(theirs)}
    return _with_marks(ours, yours), _with_marks(theirs, mine)


def _with_marks(text: str, known: set[str]) -> str:
    marked = [
        f"[{word}]" if word[0].isalnum() and word.casefold() not in known else word
        for word in _WORDS.findall(text)
    ]
    # Neighbouring marks are one: "[inlet] [3/4]" reads as "[inlet 3/4]".
    return re.sub(r"\](\s+)\[", r"\1", "".join(marked))


def group_text(questions: Sequence[object], width: int) -> str:
    """Return the lines of one pattern as a table, each with its own first candidate."""
    rows = []
    for question in questions:
        facts: dict[str, Any] = plain(question)
        first = facts["proposals"][0] if facts["proposals"] else None
        rows.append(
            {
                "place": facts["place"],
                "code": facts["written"],
                "description": facts["fields"].get("description", ""),
                "candidate 1": f"{first['maker']} {first['number']}" if first else "",
                "of it": first["description"] if first else "",
            }
        )
    pattern = plain(questions[0])["pattern"]
    return section(f"Alike: {pattern}", listing(rows, width, wrap=("description", "of it")))


def risk_text(risk: object) -> str:
    """Return in one line what is still open."""
    facts: dict[str, Any] = plain(risk)
    if not facts["questions"]:
        return "nothing is left to ask"
    told = f"{counted(facts['questions'], 'question')} left"
    parts = [f"{facts['pressure']} of parts that hold pressure"]
    parts.append(counted(facts["machines"], "machine"))
    parts.append(f"{facts['exposure']} at stake (unit prices times machines)")
    return f"{told}: {', '.join(parts)}"


def help_text() -> str:
    """Return what each key does, and what the marks mean."""
    width = max(len(key) for key, _ in KEYS) + 2
    keys = "\n".join(f"  {key:<{width}}{meaning}" for key, meaning in KEYS)
    return f"{keys}\n  {LEGEND}"


def record_text(rows: Sequence[Mapping[str, Any]], width: int) -> str:
    """Return the shop's record of the matcher by kind of evidence."""
    return listing(rows, width, wrap=("evidence", "says"), nothing="no line was judged here yet")


def flips_text(answer: object, width: int) -> str:
    """Return what another version of the matcher, or another catalogue, would read otherwise."""
    facts: dict[str, Any] = plain(answer)
    rows = [
        {
            "batch": each["batch"],
            "place": each["place"],
            "code": each["code"],
            "what": each["what"],
            "was": each["was"],
            "would be": each["now"],
            "why": each["why"],
        }
        for each in facts["flips"]
    ]
    table = listing(rows, width, wrap=("was", "would be", "why"), nothing="nothing would change")
    return paragraphs([table, facts["summary"]])
