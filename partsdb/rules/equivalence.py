"""Which part may be fitted where another is called for: directed, conditional, by evidence."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from partsdb.rules.facts import EVIDENCE_RANK, EvidenceLevel, StandsIn
from partsdb.rules.roles import role_named
from partsdb.rules.sources import names_source
from partsdb.rules.verdict import Check, Outcome

MOST_EDGES = 3  # handbook 4: a longer path is no lead any more

STRONG = frozenset(
    {EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.MEASURED_HERE, EvidenceLevel.PROVEN_HERE}
)

PartKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class EdgePath:
    """Edges end to end: a lead to check, with the union of conditions and the weakest evidence."""

    edges: tuple[StandsIn, ...]

    @property
    def conditions(self) -> tuple[str, ...]:
        """Return every condition of every edge, once, in order."""
        return union_of_conditions(self.edges)

    @property
    def evidence(self) -> EvidenceLevel:
        """Return the evidence of the weakest edge."""
        return weakest_evidence(self.edges)

    @property
    def parts(self) -> tuple[PartKey, ...]:
        """Return the parts on the way, from the asked one to the fitted one."""
        return (self.edges[0].asked, *(edge.fitted for edge in self.edges))


def union_of_conditions(edges: Iterable[StandsIn]) -> tuple[str, ...]:
    """Return the conditions of all edges, each once, in order: conditions travel."""
    return tuple(dict.fromkeys(condition for edge in edges for condition in edge.conditions))


def weakest_evidence(edges: Sequence[StandsIn]) -> EvidenceLevel:
    """Return the weakest evidence among edges; of none, inferred."""
    levels = (edge.evidence for edge in edges)
    return max(levels, key=EVIDENCE_RANK.__getitem__, default=EvidenceLevel.INFERRED)


def paths(
    asked: PartKey, edges: Iterable[StandsIn], *, most_edges: int = MOST_EDGES
) -> list[EdgePath]:
    """Return the shortest path to every part within reach of `asked`, strongest evidence first.

    Edges run one way; a rejected edge is never walked, and a part that was rejected for `asked`
    directly is not reached by a detour either: what leaked here does not come back by hearsay.
    """
    steps: dict[PartKey, list[StandsIn]] = {}
    barred: set[PartKey] = set()
    for edge in sorted(edges, key=_edge_order):
        if edge.state == "rejected":
            barred |= {edge.fitted} if edge.asked == asked else set()
        else:
            steps.setdefault(edge.asked, []).append(edge)
    return _walk(asked, steps, seen={asked} | barred, most_edges=most_edges)


def _walk(
    asked: PartKey, steps: dict[PartKey, list[StandsIn]], *, seen: set[PartKey], most_edges: int
) -> list[EdgePath]:
    ends: list[tuple[StandsIn, ...]] = [()]
    found: list[EdgePath] = []
    for _ in range(most_edges):
        onward: dict[PartKey, tuple[StandsIn, ...]] = {}
        for longer in _one_step_more(asked, ends, steps):
            fitted = longer[-1].fitted
            if fitted not in seen:
                onward[fitted] = min(onward.get(fitted, longer), longer, key=_path_order)
        seen |= set(onward)
        ends = list(onward.values())
        found += sorted((EdgePath(walked) for walked in ends), key=_by_strength)
    return found


def _one_step_more(
    asked: PartKey, ends: Iterable[tuple[StandsIn, ...]], steps: dict[PartKey, list[StandsIn]]
) -> Iterator[tuple[StandsIn, ...]]:
    for walked in ends:
        for edge in steps.get(walked[-1].fitted if walked else asked, []):
            yield (*walked, edge)


def _edge_order(edge: StandsIn) -> tuple[PartKey, PartKey, bool, int, str]:
    is_open = edge.state != "accepted"
    return edge.asked, edge.fitted, is_open, EVIDENCE_RANK[edge.evidence], edge.source


def _path_order(walked: tuple[StandsIn, ...]) -> tuple[bool, int, int, list[PartKey]]:
    all_accepted = all(edge.state == "accepted" for edge in walked)
    weakest = EVIDENCE_RANK[weakest_evidence(walked)]
    conditions = len(union_of_conditions(walked))
    return not all_accepted, weakest, conditions, [edge.fitted for edge in walked]


def _by_strength(path: EdgePath) -> tuple[bool, int, int, list[PartKey]]:
    return _path_order(path.edges)


def may_accept(edge: StandsIn, role: str, evidence: EvidenceLevel) -> Check:
    """Return whether a person may accept `edge` for a part of `role` on `evidence`.

    A part that holds pressure demands a maker's document, a measurement here or a proven record
    here; any other part at least a supplier's document. Code EVIDENCE_WEAK when it is too little.
    A rejection is lifted only by evidence of a higher level than the rejection's (handbook 4).
    """
    words = f"{evidence} for {_arrow(edge)}"
    if edge.state == "rejected" and EVIDENCE_RANK[evidence] >= EVIDENCE_RANK[edge.evidence]:
        text = f"{words} does not outweigh the rejection on {edge.evidence}{_source(edge)}"
        return Check("acceptance", Outcome.FAILS, text, str(edge.evidence), "EVIDENCE_WEAK")
    if evidence in STRONG:
        return Check("acceptance", Outcome.MEETS, f"{words} is enough", str(evidence))
    if role_named(role).holds_pressure:
        text = (
            f"{words} is too little: a {role or 'part'} holds pressure, so it takes a maker's "
            "document, a measurement here or a proven record here"
        )
        return Check("acceptance", Outcome.NOT_SHOWN, text, str(evidence), "EVIDENCE_WEAK")
    if evidence == EvidenceLevel.SUPPLIERS_DOCUMENT:
        return Check("acceptance", Outcome.MEETS, f"{words} is enough for a {role}", str(evidence))
    text = f"{words} is too little: it takes at least a supplier's document"
    return Check("acceptance", Outcome.NOT_SHOWN, text, str(evidence), "EVIDENCE_WEAK")


def check_edge(edge: StandsIn, role: str) -> Check:
    """Return what one edge shows about fitting its part: only an accepted one is an approval."""
    basis = f"{edge.evidence}; {edge.source}" if edge.source else edge.evidence
    said = f"{_arrow(edge)}: {edge.state} ({basis})"
    evidence = f"{edge.evidence}: {edge.source}" if edge.source else str(edge.evidence)
    if edge.state == "rejected":
        return Check("equivalence", Outcome.FAILS, said, evidence)
    if edge.state != "accepted":
        text = f"{said}: nobody here has accepted it"
        return Check(
            "equivalence", Outcome.NOT_SHOWN, text, evidence, "EVIDENCE_WEAK", edge.conditions
        )
    accepted = may_accept(edge, role, edge.evidence)
    if accepted.outcome != Outcome.MEETS:
        text = f"{said}: {accepted.text}"
        return Check(
            "equivalence", Outcome.NOT_SHOWN, text, evidence, "EVIDENCE_WEAK", edge.conditions
        )
    if not names_source(edge.source):
        text = f"{said}: the approval names no document or bench sheet"
        return Check(
            "equivalence", Outcome.NOT_SHOWN, text, evidence, "EVIDENCE_WEAK", edge.conditions
        )
    if edge.conditions:
        outcome, code = Outcome.MEETS_WITH_CONDITIONS, _condition_code(edge.conditions)
        return Check("equivalence", outcome, said, evidence, code, edge.conditions)
    return Check("equivalence", Outcome.MEETS, said, evidence)


def check_path(path: Sequence[StandsIn]) -> Check:
    """Return what a path of several edges shows: a lead at best, and nothing past a rejection."""
    walked = EdgePath(tuple(path))
    chain = " -> ".join(f"{maker} {number}" for maker, number in walked.parts)
    rejected = next((edge for edge in path if edge.state == "rejected"), None)
    if rejected:
        text = f"{chain} leads over {_arrow(rejected)}, which was rejected"
        return Check("equivalence", Outcome.FAILS, text, str(rejected.evidence))
    text = (
        f"{chain} is a path of {len(path)} edges, weakest {walked.evidence}: a lead to check, "
        "never an approval"
    )
    return Check(
        "equivalence",
        Outcome.NOT_SHOWN,
        text,
        str(walked.evidence),
        "EVIDENCE_WEAK",
        walked.conditions,
    )


def one_way_only(asked: PartKey, fitted: PartKey, source: str = "") -> Check:
    """Return that what is known leads the other way: it does not show this one (handbook 4)."""
    text = (
        f"{' '.join(asked)} may be fitted for {' '.join(fitted)}, and that does not show the "
        "other way round"
    )
    return Check("direction", Outcome.NOT_SHOWN, text, source, "ONE_WAY_ONLY")


_ADAPTER_WORD = r"\badapt[eo]rs?\b"
_ADAPTER = re.compile(
    rf"{_ADAPTER_WORD}[\s:(]*(?:(?:no|nr|number|part)\b[\s.:]*)*((?=\S*\d)[\w./-]+)", re.IGNORECASE
)
_AN_ADAPTER = re.compile(_ADAPTER_WORD, re.IGNORECASE)
_NO_ADAPTER = re.compile(rf"\b(?:no|without|ohne|kein\w*)\s+{_ADAPTER_WORD}", re.IGNORECASE)


def adapter_named(conditions: Iterable[str]) -> str:
    """Return the number of the adapter that a condition names ("needs adapter AQF-14"), or ""."""
    found = (_ADAPTER.search(condition) for condition in conditions)
    return next((match[1].rstrip(".") for match in found if match), "")


def adapter_doubt(conditions: Sequence[str]) -> str:
    """Return why the adapter that conditions ask for is not known: unnamed, or several; else "".

    What stands in the line unknown is never a pass, however short it is.
    """
    asking = [text for text in conditions if _AN_ADAPTER.search(_NO_ADAPTER.sub("", text))]
    unnamed = next((text for text in asking if not _ADAPTER.search(text)), "")
    if unnamed:
        return f"{unnamed!r} does not name the adapter by a number as printed, without blanks"
    named = {match[1].rstrip(".") for text in asking for match in _ADAPTER.finditer(text)}
    several = len(named) > 1 or any(re.search(r"\badapt[eo]rs\b", text, re.I) for text in asking)
    return "more than one adapter is asked for: judge the set-up by hand" if several else ""


def _condition_code(conditions: Iterable[str]) -> str:
    words = " ".join(conditions).lower()
    for code, word in (("SERIAL_RANGE", "serial"), ("NEEDS_ADAPTER", "adapt"),
                       ("NEEDS_SEALANT", "sealant"), ("OLD_BLOCK", "block")):  # fmt: skip
        if word in words:
            return code
    return ""


def _arrow(edge: StandsIn) -> str:
    return f"{' '.join(edge.fitted)} for {' '.join(edge.asked)}"


def _source(edge: StandsIn) -> str:
    return f" ({edge.source})" if edge.source else ""
