"""Suppliers with their terms, exchange and duty rates, for people to read."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.jobs.named import the_supplier
from partsdb.jobs.terms_cards import TermsShown, shown_terms
from partsdb.store import grades, lists, makers, terms, terms_more
from partsdb.store.rows import DutyRow, FxRow
from partsdb.store.rows_terms import CustomsRateRow


@dataclass(frozen=True, slots=True)
class SupplierCard:
    """A supplier; `terms` are those of the day asked, None when there are none."""

    supplier: str
    own_brand: str
    note: str
    grade: str
    price_lists: int
    terms: TermsShown | None


def supplier_cards(as_of: str, name: str = "") -> list[SupplierCard]:
    """Return the supplier of that name, or all; raises NotFoundError."""
    found = [the_supplier(name)] if name else makers.supplier_rows()
    graded = grades.grades_for_suppliers(s.id for s in found)
    cards = []
    for supplier in found:
        now = terms.terms_as_of(supplier.id, as_of)
        by_table = bool(terms_more.freight_as_of(supplier.id, as_of))
        live = [each for each in lists.list_rows(supplier.id) if not each.withdrawn_at]
        grade = graded[supplier.id].grade if supplier.id in graded else ""
        cards.append(
            SupplierCard(supplier.name, supplier.own_brand, supplier.note, grade, len(live),
                         shown_terms(now, by_table=by_table) if now else None)
        )  # fmt: skip
    return cards


def fx_shown(as_of: str) -> list[FxRow]:
    """Return the newest exchange rate of every currency on or before the day."""
    return terms.latest_fx(as_of)


def customs_rates_shown(as_of: str) -> list[CustomsRateRow]:
    """Return what customs count currencies at on the day, the newest rate of each."""
    newest = {
        (row.currency, row.home): row
        for row in terms_more.customs_rates()
        if row.valid_from <= as_of <= (row.valid_to or as_of)
    }
    return list(newest.values())


def duty_shown(heading: str = "") -> list[DutyRow]:
    """Return the duty rates, of one heading when named."""
    wanted = heading.replace(".", "")
    found = terms.duty_rows()
    return [row for row in found if row.heading.replace(".", "").startswith(wanted)]
