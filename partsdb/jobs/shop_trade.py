"""Loading suppliers, exchange and duty rates, and grades from the shop's own files."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from partsdb.errors import PartsdbError
from partsdb.jobs import named
from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.rules.currencies import currency_codes
from partsdb.rules.grading import BARRED
from partsdb.rules.money import plain_decimal
from partsdb.store import events, grades, makers, terms
from partsdb.store.rows import DutyRow, FxRow, GradeRow, Stamp

SUPPLIERS = FileFormat("suppliers.csv", ("supplier",), ("own_brand", "note"))
FX = FileFormat("fx.csv", ("date", "currency", "per_eur", "source"))
DUTY = FileFormat("duty.csv", ("heading", "origin", "rate", "valid_from", "source"), ("valid_to",))
GRADES = FileFormat("grades.csv", ("subject_kind", "subject", "grade", "reason"), ("evidence",))
GRADE_LETTERS = ("A", "B", "C", "D", "barred")
SUBJECTS = ("supplier", "maker", "part")


def load_suppliers(table: Table, by: Stamp) -> LoadCount:
    """Store suppliers and whose numbers their own are."""
    for row in table.rows:
        row.text("supplier", needed=True)
    table.refuse_if_bad()
    return table.tally([_store_supplier(row, by) for row in table.rows])


def _store_supplier(row: Row, by: Stamp) -> str:
    name, brand, note = row.text("supplier"), row.text("own_brand"), row.text("note")
    maker_id = makers.add_maker(brand) if brand else None
    old = makers.find_supplier(name)
    if old is None:
        supplier_id = makers.add_supplier(name, maker_id=maker_id, note=note)
        what = {"name": name, "own_brand": brand, "note": note}
        events.record("add", ("supplier", supplier_id), what, by=by)
        return "added"
    # An empty cell takes nothing away.
    maker_id, note = maker_id or old.maker_id, note or old.note
    if (old.maker_id, old.note) == (maker_id, note):
        return "same"
    makers.update_supplier(old.id, maker_id=maker_id, note=note)
    detail = {"was": old._asdict(), "is": {"own_brand": brand or old.own_brand, "note": note}}
    events.record("change", ("supplier", old.id), detail, by=by)
    return "changed"


def load_fx(table: Table, by: Stamp) -> LoadCount:
    """Store published exchange rates; a corrected rate takes the old one's place."""
    wanted = {(rate.currency, rate.date): rate for rate in map(_read_fx, table.rows)}
    table.refuse_if_bad()
    known = terms.fx_on_days(wanted)
    fresh = [rate for pair, rate in wanted.items() if pair not in known]
    changed = [rate for pair, rate in wanted.items() if pair in known and known[pair] != rate]
    terms.add_fx_rates([*fresh, *changed], at=by.at)
    if fresh or changed:
        was = [known[rate.currency, rate.date]._asdict() for rate in changed]
        detail = {"file": table.name, "added": len(fresh), "changed": len(changed), "was": was}
        events.record("rates", ("fx", None), detail, by=by)
    same = len(wanted) - len(fresh) - len(changed)
    return LoadCount(table.name, len(fresh), same, len(changed), tuple(table.cautions))


def _read_fx(row: Row) -> FxRow:
    figure = row.decimal("per_eur", default="")
    if not row.table.problems and plain_decimal(figure) == 0:
        row.bad("per_eur", "a rate of zero is no rate")
    return FxRow(
        row.day("date", needed=True) or "",
        row.currency("currency"),
        figure,
        row.text("source", needed=True),
    )


_CODE = re.compile(r"[A-Z]{3}")


def fx_table(path: Path) -> Table:
    """Read a file of rates: ours (a rate a row), or a bank's with a column for each currency.

    The bank's columns of currencies that we do not know, long ended ones, are left out and said.
    """
    from importers.tabular import read_table, table_header
    from partsdb.jobs.shop_files import read_file

    header = table_header(path)
    codes = [column for column in header if column not in ("Date", "")]
    if "Date" not in header or not all(_CODE.fullmatch(code) for code in codes):
        return read_file(path, FX)
    known = [code for code in codes if code in set(currency_codes())]
    table = Table(path.name)
    if strays := [code for code in codes if code not in known]:
        table.cautions.append(f"{path.name}: currencies left out as unknown: {', '.join(strays)}")
    table.rows = [
        Row(table, number, {"date": cells["Date"], "currency": code, "per_eur": cells[code],
                            "source": path.name})
        for number, cells in read_table(path, ("Date",), (*codes, ""))
        for code in known
        if cells[code] not in ("", "N/A")
    ]  # fmt: skip
    return table


def load_duty(table: Table, by: Stamp) -> LoadCount:
    """Store duty rates by heading and origin; the last entered of one day counts."""
    wanted = list(dict.fromkeys(_read_duty(row) for row in table.rows))
    table.refuse_if_bad()
    newest_last = reversed(terms.duty_rows())
    known = {(old.heading, old.origin, old.valid_from): old for old in newest_last}
    were = [(known.get((new.heading, new.origin, new.valid_from)), new) for new in wanted]
    fresh = [new for old, new in were if old != new]
    changed = [old for old, new in were if old is not None and old != new]
    terms.add_duty_rates(fresh, at=by.at)
    if fresh:
        detail = {"is": [new._asdict() for new in fresh], "was": [old._asdict() for old in changed]}
        events.record("rates", ("duty", None), detail, by=by)
    added = len(fresh) - len(changed)
    return LoadCount(table.name, added, len(wanted) - len(fresh), len(changed))


def _read_duty(row: Row) -> DutyRow:
    valid_from, valid_to = row.period()
    return DutyRow(
        heading=row.text("heading", needed=True),
        origin=row.text("origin").upper(),
        rate=row.share("rate"),
        valid_from=valid_from,
        valid_to=valid_to,
        source=row.text("source", needed=True),
    )


def load_grades(table: Table, by: Stamp) -> LoadCount:
    """Store grades of suppliers, makers and parts ("Maker|Number"), each with its reason."""
    wanted = [(row, found) for row in table.rows if (found := _read_grade(row, by))]
    table.refuse_if_bad()
    return table.tally(
        [
            "same" if _is_outdated(table, row, each) else _store_grade(each, by)
            for row, each in wanted
        ]
    )


def _is_outdated(table: Table, row: Row, new: GradeRow) -> bool:
    """Say, with a caution, that a file's grade was overtaken by one given here since.

    A file that is loaded again must not lift a bar, nor bring back a grade that it gave before.
    """
    if table.is_typed:
        return False
    newest, *before = [*grades.grade_history((new.subject_kind, new.subject_id)), None]
    if newest is None or _same_grade(newest, new):
        return False
    lifts = newest.grade == BARRED and new.grade != BARRED
    if not lifts and not any(old and _same_grade(old, new) for old in before):
        return False
    table.cautions.append(
        f"{table.name} row {row.row}: left out, for {row.text('subject')} was graded "
        f"{newest.grade} since ({newest.reason}), {newest.made_at[:10]}; "
        "partsdb grade set changes it"
    )
    return True


def _same_grade(old: GradeRow, new: GradeRow) -> bool:
    return (old.grade, old.reason, old.evidence) == (new.grade, new.reason, new.evidence)


def _read_grade(row: Row, by: Stamp) -> GradeRow | None:
    kind = row.choice("subject_kind", SUBJECTS)
    subject = row.text("subject", needed=True)
    grade = row.choice("grade", GRADE_LETTERS)
    reason = row.text("reason", needed=True)
    if not kind or not subject:
        return None
    subject_id = row.tried("subject", lambda: _SUBJECT_ID[kind](subject), 0)
    return GradeRow(kind, subject_id, grade, reason, row.text("evidence"), by.who, by.at)


def part_of(subject: str) -> int:
    """Return the id of the part written "Maker|Number"."""
    maker, mark, number = (each.strip() for each in subject.partition("|"))
    if not mark:
        raise PartsdbError(f"{subject!r} is not of the form Maker|Number")
    return named.the_part(number, maker).id


_SUBJECT_ID: dict[str, Callable[[str], int]] = {
    "supplier": lambda name: named.the_supplier(name).id,
    "maker": lambda name: named.the_maker(name).id,
    "part": part_of,
}


def _store_grade(new: GradeRow, by: Stamp) -> str:
    subject = (new.subject_kind, new.subject_id)
    old = grades.current_grades(new.subject_kind, [new.subject_id]).get(new.subject_id)
    if old and _same_grade(old, new):
        return "same"
    grades.set_grade(subject, new.grade, reason=new.reason, evidence=new.evidence, by=by)
    detail = {"is": new.grade, "reason": new.reason, "was": old.grade if old else ""}
    events.record("grade", subject, detail, by=by)
    return "changed" if old else "added"
