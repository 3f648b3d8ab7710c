"""One lot: found by the label on its bin, and the grades that touch it."""

from __future__ import annotations

from partsdb.errors import NotFoundError
from partsdb.jobs.weigh import grades_of, supplier_grade
from partsdb.store import catalogue, lots
from partsdb.store.rows import PartRow
from partsdb.store.rows_bench import LotRow


def the_lot(label: str) -> LotRow:
    """Return the lot of that label on the bin; raises NotFoundError."""
    found = lots.find_lot(label)
    if found is None:
        raise NotFoundError("lot", label, hint="partsdb lot show lists the lots")
    return found


def touching_grades(row: LotRow) -> tuple[str, ...]:
    """Return the grades of the lot's supplier, maker and part, as far as there are any."""
    part = catalogue.part_rows([row.part_id])[row.part_id]
    return grades_touching(part, row.supplier_id, row.supplier)


def grades_touching(part: PartRow, supplier_id: int, supplier: str) -> tuple[str, ...]:
    """Return the grades of a supplier, and of a part or its maker, as far as there are any."""
    found = (supplier_grade(supplier_id, supplier), grades_of([part])[part.id])
    return tuple(grade.grade for grade in found if grade)
