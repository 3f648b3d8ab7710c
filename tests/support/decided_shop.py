"""Lists with lines that a person must look at, and what the store holds of them, ids aside."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from small_shop import BY, DAY, price_list

from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.review import ReviewAsk, review
from partsdb.jobs.review_question import Question
from partsdb.store import sql

# A near miss of 24-1180 with a valve kit's words; its twin with other digits swapped; a line of
# another kind under our number; and one that is settled.
NEAR = '24-1183,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
NEARER = '24-1810,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
HOSE = '24-1182,Quillmere,"Hose, airless, 1/4 in x 15 m, 1/4 NPSM, 3300 psi"'
SURE = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'

_LIVE = {
    "offer": "SELECT s.name, p.number, o.code, o.price_e4, o.currency, l.code FROM offer o"
    " JOIN supplier s ON s.id = o.supplier_id JOIN part p ON p.id = o.part_id"
    " JOIN line l ON l.id = o.line_id WHERE o.withdrawn_at IS NULL AND o.price_list_id = :list",
    "claim": "SELECT p.number, c.kind, c.about, c.value, c.basis, l.code FROM claim_now c"
    " JOIN part p ON p.id = c.part_id JOIN line l ON l.id = c.line_id"
    " WHERE c.price_list_id = :list",
    "edge": "SELECT a.number, f.number, e.state, l.code FROM stands_in_now e"
    " JOIN part a ON a.id = e.asked_part_id JOIN part f ON f.id = e.fitted_part_id"
    " JOIN line l ON l.id = e.line_id WHERE e.price_list_id = :list",
    "own": "SELECT m.name, p.number, p.description, p.role FROM part p"
    " JOIN maker m ON m.id = p.maker_id WHERE p.price_list_id = :list AND p.withdrawn_at IS NULL",
    "reading": "SELECT l.row, r.kind, p.number, o.number, r.confidence, r.damage FROM reading r"
    " JOIN line l ON l.id = r.line_id LEFT JOIN part p ON p.id = r.part_id"
    " LEFT JOIN part o ON o.id = r.own_part_id WHERE l.price_list_id = :list"
    " AND NOT EXISTS (SELECT 1 FROM reading n WHERE n.line_id = l.id AND n.id > r.id)",
}


def read(folder: Path, rows: list[str], name: str = "list.csv", supplier: str = "Saltreeve") -> int:
    """Take a list in, each row priced, and return its batch."""
    priced = [f"{row},{10 + at}.50" for at, row in enumerate(rows)]
    answer = intake(IntakeAsk(price_list(folder, priced, name=name), supplier, DAY), BY)
    assert answer.batch is not None
    return answer.batch


def held(batch: int) -> dict[str, list[Any]]:
    """What counts of a batch: offers, claims, edges, own parts and readings, in plain order."""
    return {
        name: sorted(sql.connection().execute(query, {"list": batch}).fetchall(), key=repr)
        for name, query in _LIVE.items()
    }


def asked(batch: int, **more: Any) -> tuple[Question, ...]:
    return review(ReviewAsk(batch, DAY, **more)).questions


def about(batch: int, code: str, **more: Any) -> Question:
    (found,) = [q for q in asked(batch, **more) if q.fields.get("code") == code]
    return found
