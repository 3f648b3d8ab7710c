"""Suppliers with their terms, exchange and duty rates, for people to read."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from partsdb.jobs.named import the_supplier
from partsdb.rules.currencies import minor_digits
from partsdb.store import grades, lists, makers, terms
from partsdb.store.rows import DutyRow, FxRow, Terms


@dataclass(frozen=True, slots=True)
class TermsShown:
    """Terms with their amounts as decimal text."""

    valid_from: str
    currency: str
    incoterm: str
    named_place: str
    freight: str
    free_above: str
    min_order: str
    small_order: str
    insurance: str
    brokerage: str
    duty_heading: str
    origin: str
    spread: str
    lead_days: int | None
    payment: str
    freight_per_kg: str
    fuel: str


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
        live = [each for each in lists.list_rows(supplier.id) if not each.withdrawn_at]
        grade = graded[supplier.id].grade if supplier.id in graded else ""
        cards.append(
            SupplierCard(supplier.name, supplier.own_brand, supplier.note, grade, len(live),
                         shown_terms(now) if now else None)
        )  # fmt: skip
    return cards


def terms_of(name: str) -> list[TermsShown]:
    """Return every stored version of a supplier's terms, newest first."""
    return [shown_terms(each) for each in terms.terms_history(the_supplier(name).id)]


def shown_terms(t: Terms) -> TermsShown:
    """Return terms with amounts as text."""
    return TermsShown(
        valid_from=t.valid_from,
        currency=t.currency,
        incoterm=t.incoterm,
        named_place=t.named_place,
        freight=_text(t.freight_minor, t.currency),
        free_above=_text(t.free_above_minor, t.currency),
        min_order=_text(t.min_order_minor, t.currency),
        small_order=_text(t.small_order_minor, t.currency),
        insurance=_text(t.insurance_minor, t.currency),
        brokerage=_text(t.brokerage_minor, t.brokerage_currency or t.currency),
        duty_heading=t.duty_heading,
        origin=t.origin,
        spread=t.spread,
        lead_days=t.lead_days,
        payment=t.payment,
        freight_per_kg=_text(t.freight_per_kg_minor, t.currency),
        fuel=t.fuel if t.freight_per_kg_minor is not None else "",
    )


def _text(minor: int | None, currency: str) -> str:
    if minor is None:
        return ""
    return f"{Decimal(minor).scaleb(-minor_digits(currency)):f} {currency}"


def fx_shown(as_of: str) -> list[FxRow]:
    """Return the newest exchange rate of every currency on or before the day."""
    return terms.latest_fx(as_of)


def duty_shown(heading: str = "") -> list[DutyRow]:
    """Return the duty rates, of one heading when named."""
    wanted = heading.replace(".", "")
    found = terms.duty_rows()
    return [row for row in found if row.heading.replace(".", "").startswith(wanted)]
