"""Compares a line with a part, trait by trait: each agrees, contradicts or is silent."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import TypeVar

from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext
from partsdb.matching.facts import LineFacts
from partsdb.matching.figures import contradicted_figure
from partsdb.matching.readings import CatalogueEntry
from partsdb.rules.material_words import materials_in, may_be_same
from partsdb.rules.measures import Size, Thread
from partsdb.rules.pieces import same_family
from partsdb.rules.pressure import PressureStatement, find_pressures

_T = TypeVar("_T")

AGREES, CONTRADICTS, SILENT = "agrees", "contradicts", "silent"

# 227 bar is sold as 3300 psi: figures nearer than this are one figure rounded. Common practice.
_PRESSURE_SLACK = Fraction(1, 100)
# 15 m of hose is sold as 50 ft. Common practice, no source.
_LENGTH_SLACK = Fraction(25, 1000)
_LIKE_WORDS = 0.5
SAME_WORDS = 0.8
# One or two words are like too many descriptions.
_TELLING_WORDS = 3
_STEM = 4
_SPECIFIC = frozenset(("size", "thread", "pressure", "machine"))


@dataclass(frozen=True, slots=True)
class Trait:
    """One trait compared; `text` names both sides: "thread 1/4 NPT against G 1/4"."""

    name: str
    outcome: str
    text: str


@dataclass(frozen=True)
class Likeness:
    """A line against one part. `coverage` is the weighted share of the line's words in the part's
    description, `words` counts them, `strength` counts what agrees, the maker's name left out.
    """

    place: int
    traits: tuple[Trait, ...]
    coverage: float
    words: int

    def outcome(self, name: str) -> str:
        """Return how the trait of that name came out."""
        return next((t.outcome for t in self.traits if t.name == name), SILENT)

    def contradictions(self) -> tuple[Trait, ...]:
        """Return the traits that contradict."""
        return tuple(t for t in self.traits if t.outcome == CONTRADICTS)

    @cached_property
    def strength(self) -> int:
        """Return how many traits of the description agree; likeness of words counts up to two."""
        agreeing = sum(t.outcome == AGREES for t in self.traits if t.name != "maker")
        likeness = (self.coverage >= _LIKE_WORDS) + self.is_worded_alike
        return agreeing + likeness * (self.words >= _TELLING_WORDS)

    @property
    def is_worded_alike(self) -> bool:
        """Say whether nearly all words of a description of some length are the part's words."""
        return self.coverage >= SAME_WORDS and self.words >= _TELLING_WORDS

    @property
    def is_specific(self) -> bool:
        """Say whether something agrees that tells siblings apart: kind and material do not."""
        return any(t.outcome == AGREES and t.name in _SPECIFIC for t in self.traits)

    @cached_property
    def fit(self) -> float:
        """Return how well the part's description explains the line, for comparing parts alone."""
        contradicted = sum(t.outcome == CONTRADICTS for t in self.traits if t.name != "maker")
        return self.coverage + 0.1 * self.strength - 0.5 * contradicted


def compare(facts: LineFacts, place: int, index: CatalogueIndex, context: ListContext) -> Likeness:
    """Return every trait of `facts` against the part at `place` of `index`."""
    entry, described = index.entries[place], index.described(place)
    pressures = _rated(entry.rating)
    traits = (
        _maker(facts, entry, context),
        _piece(facts, index.role(place)),
        _set_trait("thread", facts.threads, described.threads, _threads_mate, lambda t: t.text),
        _sizes(facts.described.sizes, described.sizes),
        _pressure(facts.pressures, pressures or described.pressures),
        _words_trait("material", facts.materials, materials_in(entry.description)),
        _words_trait("machine", facts.described.models, described.models),
        _figure(facts.line.description, entry.description),
    )
    told = tuple(trait for trait in traits if trait.outcome != SILENT)
    mine, theirs = facts.described.words, described.words
    share = coverage(mine, theirs, index)
    return Likeness(place, told, share, len(set(mine)))


def contradiction(one: LineFacts, other: LineFacts) -> str:
    """Return the first thing that two lines cannot both say of one part, or ""."""
    kinds = Trait("piece", SILENT, "")
    if one.role and other.role and not same_family(one.role, other.role):
        kinds = Trait("piece", CONTRADICTS, f"{one.role} against {other.role}")
    traits = (
        kinds,
        _set_trait("thread", one.threads, other.threads, _threads_mate, lambda t: t.text),
        _sizes(one.described.sizes, other.described.sizes),
        _pressure(one.pressures, other.pressures),
        _words_trait("material", one.materials, other.materials),
    )
    return next((trait.text for trait in traits if trait.outcome == CONTRADICTS), "")


@lru_cache(maxsize=4096)
def _rated(rating: str) -> tuple[PressureStatement, ...]:
    return tuple(find_pressures(rating, in_pressure_context=True)) if rating else ()


def coverage(mine: Iterable[str], theirs: Iterable[str], index: CatalogueIndex) -> float:
    """Return the weighted share of `mine` found in `theirs`; a stem of four letters counts half."""
    others = set(theirs)
    stems = {word[:_STEM] for word in others if len(word) > _STEM and word.isalpha()}
    found = total = 0.0
    for word in dict.fromkeys(mine):
        weight = index.weight(word)
        total += weight
        if word in others:
            found += weight
        elif len(word) >= _STEM and word.isalpha() and word[:_STEM] in stems:
            found += weight / 2
    return found / total if total else 0.0


def _maker(facts: LineFacts, entry: CatalogueEntry, context: ListContext) -> Trait:
    """Compare the maker's column, or a maker whom the description names: that one may err."""
    maker = context.maker_of(entry.maker)
    named = facts.maker or facts.text_maker
    if not named or not maker:
        return Trait("maker", SILENT, "")
    if named == maker:
        return Trait("maker", AGREES, f"maker {entry.maker}")
    if not facts.maker:
        text = f"another maker than {entry.maker} in the description"
        return Trait("maker named in passing", CONTRADICTS, text)
    return Trait("maker", CONTRADICTS, f"maker {facts.line.maker} against {entry.maker}")


def _piece(facts: LineFacts, role: str) -> Trait:
    if not facts.head or not role:
        return Trait("piece", SILENT, "")
    if facts.role == role:
        return Trait("piece", AGREES, f"both {role}")
    if facts.role and same_family(facts.role, role):
        return Trait("piece", SILENT, "")
    return Trait("piece", CONTRADICTS, f"{facts.role or facts.head} against {role}")


def _set_trait(
    name: str,
    mine: Sequence[_T],
    theirs: Sequence[_T],
    same: Callable[[_T, _T], bool],
    shown: Callable[[_T], str],
) -> Trait:
    """Compare two sets: one must lie within the other, since either side may leave things out."""
    if not mine or not theirs:
        return Trait(name, SILENT, "")
    if _within(mine, theirs, same) or _within(theirs, mine, same):
        return Trait(name, AGREES, f"{name} {', '.join(map(shown, mine))}")
    text = f"{name} {', '.join(map(shown, mine))} against {', '.join(map(shown, theirs))}"
    return Trait(name, CONTRADICTS, text)


def _within(inner: Sequence[_T], outer: Sequence[_T], same: Callable[[_T, _T], bool]) -> bool:
    return all(any(same(one, other) for other in outer) for one in inner)


def _threads_mate(one: Thread, other: Thread) -> bool:
    """Say whether two texts may name one thread; BSP alone leaves open whether G or R."""
    families = {one.family, other.family}
    same_family_ = len(families) == 1 or ("BSP" in families and families <= {"BSP", "G", "R"})
    pitches_agree = not one.pitch_mm or not other.pitch_mm or one.pitch_mm == other.pitch_mm
    uses_agree = not one.use or not other.use or one.use == other.use
    return same_family_ and one.size_mm == other.size_mm and pitches_agree and uses_agree


def _sizes(mine: Sequence[Size], theirs: Sequence[Size]) -> Trait:
    """Compare sizes unit by unit; metric and inch names of one thing are not compared."""
    if not mine or not theirs:
        return Trait("size", SILENT, "")
    outcomes = []
    for unit in _SIZE_UNITS:
        ours = [size for size in mine if _group(size) == unit]
        others = [size for size in theirs if _group(size) == unit] if ours else ours
        if others:
            outcomes.append(_set_trait("size", ours, others, _sizes_meet, lambda s: s.text))
    for outcome in (CONTRADICTS, AGREES):
        if found := next((trait for trait in outcomes if trait.outcome == outcome), None):
            return found
    return Trait("size", SILENT, "")


_SIZE_UNITS = ("mm", "in", "length", "DN", "dash", "size")


def _group(size: Size) -> str:
    return "length" if size.unit in ("m", "ft") else size.unit


def _sizes_meet(one: Size, other: Size) -> bool:
    if one.unit == other.unit:
        return one.mm == other.mm
    return abs(one.mm - other.mm) <= _LENGTH_SLACK * max(one.mm, other.mm)


def _pressure(mine: Sequence[PressureStatement], theirs: Sequence[PressureStatement]) -> Trait:
    """Compare figures of one basis; a burst figure says nothing against a working one."""
    ours, others = _figures(mine), _figures(theirs)
    shared = [basis for basis in ours if basis in others]
    if not shared:
        return Trait("pressure", SILENT, "")
    basis = shared[0]
    (one, mine_text), (other, their_text) = ours[basis], others[basis]
    if abs(one - other) <= _PRESSURE_SLACK * max(one, other):
        return Trait("pressure", AGREES, f"pressure {mine_text}")
    return Trait("pressure", CONTRADICTS, f"pressure {mine_text} against {their_text}")


def _figures(statements: Sequence[PressureStatement]) -> dict[str, tuple[int, str]]:
    """Return the first readable figure by basis; an unnamed basis counts as working."""
    found: dict[str, tuple[int, str]] = {}
    for statement in statements:
        if statement.pressure is not None and not statement.is_range:
            figure = statement.pressure.pascals, statement.text.strip()
            found.setdefault(statement.basis or "working", figure)
    return found


def _figure(mine: str, theirs: str) -> Trait:
    """Compare what the words themselves state: voltages, decimals, sides, lengths in any unit."""
    what = contradicted_figure(mine, theirs)
    return Trait("figure", CONTRADICTS if what else SILENT, f"another {what}" if what else "")


def _words_trait(name: str, mine: frozenset[str], theirs: frozenset[str]) -> Trait:
    """Compare sets of names; where one side names but a part of the other, nothing is shown."""
    if not mine or not theirs:
        return Trait(name, SILENT, "")
    same = may_be_same if name == "material" else str.__eq__
    trait = _set_trait(name, sorted(mine), sorted(theirs), same, str)
    is_part = trait.outcome == AGREES and len(mine) != len(theirs)
    return Trait(name, SILENT, "") if is_part else trait
