"""The working rating of a part, as its claims show it: nothing is taken for more than it says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import (
    DUAL_CONFLICT,
    READ_AS_KGF,
    READ_AS_PSI,
    WAS_ABSOLUTE,
    Pressure,
    PressureStatement,
    blank_grouped,
    find_pressures,
    shown_rating,
    units_of,
)
from partsdb.rules.rating_words import words_beside
from partsdb.rules.roles import burst_ratio, burst_standard, proof_ratio
from partsdb.rules.sources import names_source

# Handbook, "How the design uses it": less than 0.5 % apart is rounding between units.
NOMINAL_BAND = Fraction(5, 1000)
# EN 837-2, from memory: a gauge is used to three quarters of its scale, steady pressure.
GAUGE_SHARE = Fraction(3, 4)

# Two figures this close are one figure in two units (handbook, the nominal band).
SAME_FIGURE = Fraction(5, 1000)

_HEARSAY_FROM = EVIDENCE_RANK[EvidenceLevel.SUPPLIERS_WORD]
_ONE_STEP_LOWER = {
    EvidenceLevel.MAKERS_DOCUMENT: EvidenceLevel.SUPPLIERS_DOCUMENT,
    EvidenceLevel.MEASURED_HERE: EvidenceLevel.SUPPLIERS_DOCUMENT,
    EvidenceLevel.PROVEN_HERE: EvidenceLevel.SUPPLIERS_DOCUMENT,
    EvidenceLevel.SUPPLIERS_DOCUMENT: EvidenceLevel.SUPPLIERS_WORD,
    EvidenceLevel.SUPPLIERS_WORD: EvidenceLevel.INFERRED,
    EvidenceLevel.INFERRED: EvidenceLevel.INFERRED,
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One pressure that a claim states, with what kind it is and how it is known.

    `unclear` are words beside the figure that nobody here understands ("not confirmed", "at
    20 °C"): such a figure can be too low, and it shows nothing. Nor does a figure that names no
    source: whoever claims to know it, it counts as inferred.
    """

    pressure: Pressure
    basis: str
    evidence: EvidenceLevel
    source: str
    is_derived: bool = False
    unclear: str = ""
    is_scale: bool = False

    @property
    def words(self) -> str:
        """Return the figure for people, with its basis as said."""
        kind = {"": "basis not said", "working": "working"}.get(self.basis, self.basis)
        return f"{self.pressure.as_written} ({kind}; {self.evidence})"


@dataclass(frozen=True, slots=True)
class Doubt:
    """A claim about the rating in which no pressure can be read, and why: it may be a low one."""

    claim: Claim
    problem: str

    @property
    def outweighs(self) -> bool:
        """Say whether a document says it; of hearsay only a figure without a unit is a question."""
        is_hearsay = EVIDENCE_RANK[self.claim.evidence] >= _HEARSAY_FROM
        return not is_hearsay and names_source(self.claim.source)

    @property
    def is_question(self) -> bool:
        """Say whether it states a figure at all, which may be lower than all that can be read."""
        return any(sign.isdigit() for sign in self.claim.value)


@dataclass(frozen=True, slots=True)
class WorkingRating:
    """What the claims show: `figures` that may count as working, lowest first; `pressure` is that.

    `ceiling` is a proof or burst figure, which the working rating cannot exceed; `code` says why
    there is no pressure; `margin` is the lowest burst figure divided by our ratio, `proof_margin`
    the lowest proof figure divided by ours; `doubts` are claims that nobody can read.
    """

    component_class: str
    figures: tuple[Figure, ...] = ()
    ceiling: Figure | None = None
    margin: Figure | None = None
    proof_margin: Figure | None = None
    doubts: tuple[Doubt, ...] = ()
    code: str = ""
    text: str = ""

    @property
    def pressure(self) -> Pressure | None:
        """Return the lowest working pressure claimed or derived, None when none is shown."""
        return self.figures[0].pressure if self.figures else None

    @property
    def evidence(self) -> EvidenceLevel | None:
        """Return the strongest evidence for at least the lowest figure."""
        levels = [figure.evidence for figure in self.figures]
        return min(levels, key=EVIDENCE_RANK.__getitem__, default=None)

    @property
    def is_derived(self) -> bool:
        """Say whether the figure is not claimed but burst divided by our ratio."""
        return bool(self.figures) and self.figures[0].is_derived

    @property
    def disagreement(self) -> str:
        """Return the claims that differ, in words, or ""; the lowest counts."""
        if not self.figures or self.figures[0].pressure.gauge == self.figures[-1].pressure.gauge:
            return ""
        return "; ".join(dict.fromkeys(figure.words for figure in self.figures))

    @property
    def remarks(self) -> tuple[str, ...]:
        """Return what was read into the lowest figure (unit assumed, two units, absolute)."""
        return tuple(
            note
            for note in (self.pressure.notes if self.pressure else ())
            if note in (READ_AS_PSI, READ_AS_KGF, WAS_ABSOLUTE, DUAL_CONFLICT)
        )


def working_rating(claims: Iterable[Claim], component_class: str) -> WorkingRating:
    """Return the working rating that `claims` show for a piece of `component_class`.

    The lowest working figure counts; proof never counts, nor does a figure that is no lower than
    the known proof or burst; burst alone is divided by our ratio of the class (handbook 1.3),
    marked derived and one evidence step lower, and not accepted where the class has no ratio. What
    is derived can fail a part and never shows one. Of a gauge, three quarters of the scale count
    (EN 837-2).
    """
    figures, doubts = _figures([each for each in claims if _is_rating(each)])
    working = [each for each in figures if each.basis in ("", "working")]
    above = [each for each in figures if each.basis in ("proof", "burst")]
    working = [each for each in working if not _is_really_above(each, above)]
    if component_class == "gauge":
        working = [_gauge_share(each, working) for each in working]
    bursts = [each for each in above if each.basis == "burst"]
    shown = WorkingRating(
        component_class,
        doubts=tuple(doubts),
        ceiling=min(above, key=_by_pressure, default=None),
        margin=_derived(bursts, "burst", burst_ratio(component_class)),
        proof_margin=_derived(
            [each for each in above if each.basis == "proof"], "proof", proof_ratio(component_class)
        ),
    )
    if working:
        return replace(shown, figures=tuple(sorted(_telling(working), key=_by_pressure)))
    if shown.margin and not doubts:
        return replace(shown, figures=(shown.margin,), code="BURST_ONLY")
    return _not_shown(shown, bursts)


def _telling(figures: Sequence[Figure]) -> list[Figure]:
    """Return the figures without those that repeat a better known one, rounded in another unit.

    "227 bar" on a seller's list is the maker's own 3300 psi (handbook, nominal band): it neither
    contradicts it nor lowers it. A figure that is lower by more than rounding stays and counts.
    """
    return [each for each in figures if not any(_repeats(each, better) for better in figures)]


def _repeats(one: Figure, better: Figure) -> bool:
    if better.unclear or better.basis != "working":
        return False
    if EVIDENCE_RANK[one.evidence] <= EVIDENCE_RANK[better.evidence]:
        return False
    ours, theirs = better.pressure.gauge, one.pressure.gauge
    if theirs < ours and units_of(one.pressure) == units_of(better.pressure):
        return False  # no unit was changed, so nothing was rounded: it says less
    return abs(theirs - ours) < ours * NOMINAL_BAND


def _is_really_above(figure: Figure, above: Sequence[Figure]) -> bool:
    """Say whether a figure is the known proof or burst pressure under another name.

    Handbook 6.6: burst in the rating column is a sign of a bad list.
    """
    return any(figure.pressure.gauge * (1 + SAME_FIGURE) > each.pressure.gauge for each in above)


def _is_rating(claim: Claim) -> bool:
    return claim.kind == ClaimKind.RATING or (
        claim.kind == ClaimKind.DIMENSION and claim.about == "full_scale"
    )


def _by_pressure(figure: Figure) -> tuple[Fraction, int, str, str]:
    return (
        figure.pressure.gauge,
        EVIDENCE_RANK[figure.evidence],
        figure.pressure.as_written,
        figure.source,
    )


def _figures(claims: Sequence[Claim]) -> tuple[list[Figure], list[Doubt]]:
    figures, doubts = [], []
    for claim in claims:
        stated = find_pressures(blank_grouped(claim.value), in_pressure_context=True)
        if not stated:
            doubts.append(Doubt(claim, f"{claim.value!r} states no pressure with a unit"))
        for each in stated:
            if each.pressure is None or each.pressure.gauge <= 0:
                problem = each.problem or f"{each.text!r} is no pressure above zero"
                doubts.append(Doubt(claim, problem))
            else:
                figures.append(_figure(claim, each, each.pressure))
    return figures, doubts


def _figure(claim: Claim, stated: PressureStatement, pressure: Pressure) -> Figure:
    said = (stated.basis, claim.basis.strip().lower())
    basis = next((word for word in ("burst", "proof", "working") if word in said), "")
    if not basis and said[1]:
        basis = "proof"  # a basis that we do not know is no working pressure
    is_scale = stated.is_range or claim.kind == ClaimKind.DIMENSION
    unclear = words_beside(claim.value)
    level = claim.evidence if names_source(claim.source) else EvidenceLevel.INFERRED
    return Figure(pressure, basis, level, claim.source, is_scale=is_scale, unclear=unclear)


def _gauge_share(figure: Figure, others: Sequence[Figure]) -> Figure:
    tops = [each.pressure.gauge for each in others if each.is_scale]
    is_full_scale = figure.is_scale or figure.basis == "" or figure.pressure.gauge in tops
    if not is_full_scale:
        return figure
    share = _scaled(figure, GAUGE_SHARE, f"0.75 x {figure.pressure.as_written}")
    return replace(share, basis="working")


def _scaled(figure: Figure, factor: Fraction, as_written: str) -> Figure:
    exact = figure.pressure.gauge * factor
    pressure = Pressure(floor(exact), as_written, "gauge", figure.pressure.notes, exact)
    return replace(figure, pressure=pressure, is_derived=True)


def _derived(figures: Sequence[Figure], kind: str, ratio: Fraction | None) -> Figure | None:
    if ratio is None or not figures:
        return None
    lowest = min(figures, key=_by_pressure)
    figure = _scaled(lowest, 1 / ratio, f"{kind} {lowest.pressure.as_written} / {ratio}")
    return replace(figure, basis="derived", evidence=_ONE_STEP_LOWER[lowest.evidence])


def _not_shown(shown: WorkingRating, bursts: Sequence[Figure]) -> WorkingRating:
    if shown.doubts:
        text = "; ".join(doubt.problem for doubt in shown.doubts)
        return replace(shown, code="UNIT_AMBIGUOUS", text=text)
    if bursts:
        text = (
            f"only a burst pressure is given ({bursts[0].pressure.as_written}), and for a "
            f"{shown.component_class} burst is not accepted as evidence of a rating"
        )
        return replace(shown, code="BURST_ONLY", text=text)
    if shown.ceiling:
        text = (
            f"only a proof pressure is given ({shown.ceiling.pressure.as_written}), which is a test"
        )
        return replace(shown, code="PRESSURE_UNKNOWN", text=text)
    return replace(shown, code="PRESSURE_UNKNOWN", text="no rating is stated")


def derived_in_words(rating: WorkingRating, margin: Figure | None = None) -> str:
    """Return how a derived figure was reached, with the ratio and the standard behind it.

    `margin` is the rating's derived figure that is meant, by default that of its burst pressure.
    """
    meant = margin or rating.margin
    if meant is None:
        return ""
    return (
        f"{meant.pressure.as_written} = {shown_rating(meant.pressure)}, "
        f"our ratio for a {rating.component_class} ({burst_standard(rating.component_class)})"
    )
