"""Is what is built into a kit the piece that the kit lists? Its size and material are compared."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.errors import UsageError
from partsdb.jobs.leads import as_stands_in
from partsdb.rules.facts import PartFacts, PositionDemand, StandsIn
from partsdb.rules.piece_fit import judge_piece
from partsdb.rules.verdict import GRAVITY, Check, Outcome
from partsdb.store import claims
from partsdb.store.edges import edge_of
from partsdb.store.rows import PartRow

_PASSED = (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)


def refuse_other_pieces(kit: PartRow, pieces: Iterable[PartRow]) -> tuple[str, ...]:
    """Return what is not shown about the pieces of the kit.

    Raises UsageError for one that is known to be another than each item that the kit lists in its
    role: of another size or a lesser material, or rejected for the kit by a person.
    """
    parts = {kit.id: kit, **{piece.id: piece for piece in pieces}}
    known = claims.part_facts(parts)
    return tuple(
        told
        for i in parts
        if i != kit.id and (told := _told(known[kit.id], known[i], _decided(kit, parts[i])))
    )


def _decided(kit: PartRow, piece: PartRow) -> StandsIn | None:
    edge = edge_of(kit.id, piece.id)
    return as_stands_in(edge, {kit.id: kit, piece.id: piece}) if edge else None


def _told(kit: PartFacts, piece: PartFacts, edge: StandsIn | None) -> str:
    if kit.contents is None:
        return ""
    items = [item for item in kit.contents if item.role == piece.role]
    name = f"{piece.maker} {piece.number}"
    if not items:
        return f"{name}: the kit's list has no {piece.role}"
    place = PositionDemand("", f"kit {kit.number}", kit.role)
    gravest = [_gravest(judge_piece(item, piece, kit, place, edge).checks) for item in items]
    nearest = min(gravest, key=lambda check: GRAVITY[check.outcome])
    if nearest.outcome is Outcome.FAILS:
        raise UsageError(
            f"{name} is not the {piece.role} of {kit.maker} {kit.number}: {nearest.text}",
            hint=f"partsdb part show {kit.number!r} lists its pieces",
        )
    if nearest.outcome in _PASSED:
        return ""
    return f"{name} is not shown to be the kit's {piece.role}: {nearest.text}"


def _gravest(checks: Iterable[Check]) -> Check:
    """Return what speaks most against its being the same piece: decision, size or material."""
    own = (c for c in checks if c.check == "equivalence" or c.check.startswith("material"))
    return max(own, key=lambda check: GRAVITY[check.outcome])
