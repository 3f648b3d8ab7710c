"""A shop of a few parts, put together by hand in a test; see `tests/conftest.py` for the big one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem, PositionDemand
from partsdb.rules.money import price_e4
from partsdb.rules.pressure import demand
from partsdb.store import (
    bench_record,
    catalogue,
    claims,
    edges,
    grades,
    machines,
    makers,
    offers,
    recipes,
    sql,
)
from partsdb.store import terms as store_terms
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import (
    FxRow,
    NewClaim,
    NewEdge,
    NewOffer,
    NewPart,
    Stamp,
    Terms,
)
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow

DAY = "2026-11-20"
BY = Stamp("Ilse", "2026-11-02T09:30:00Z")
DOCUMENT = EvidenceLevel.MAKERS_DOCUMENT


class SmallShop:
    """Adds to the database that is open; every method returns the id of what it added."""

    def part(
        self,
        number: str,
        role: str = "collar",
        *,
        maker: str = "Quillmere",
        rating: str = "",
        evidence: EvidenceLevel = DOCUMENT,
        contents: tuple[KitItem, ...] | None = None,
        **facts: Any,
    ) -> int:
        new = NewPart(makers.add_maker(maker), number, facts.pop("description", ""), role, **facts)
        part = catalogue.add_part(new, by=BY)
        if rating:
            self.claim(part, ClaimKind.RATING, rating, basis="working", evidence=evidence)
        if contents is not None:
            claims.set_contents_of({part: contents})
        return part

    def claim(
        self,
        part: int,
        kind: ClaimKind,
        value: str,
        *,
        about: str = "",
        basis: str = "",
        evidence: EvidenceLevel = DOCUMENT,
        source: str = "QH-7",
    ) -> None:
        stated = Claim(kind, value, evidence, about, basis, source)
        claims.add_claims([NewClaim(part, stated)], by=BY)

    def machine(self, model: str = "Q33", maker: str = "Quillmere") -> int:
        return machines.add_machine(makers.add_maker(maker), model)

    def position(
        self, machine: int, name: str, role: str, parts: tuple[int, ...], pressure: str = "",
        **asked: Any,
    ) -> int:  # fmt: skip
        wanted = demand(pressure) if pressure else None
        model = sql.rows("SELECT model FROM machine WHERE id = ?", (machine,))[0][0]
        position = machines.add_position(
            machine, PositionDemand(model, name, role, wanted, **asked)
        )
        for part in parts:
            machines.call_for(position, part)
        return position

    def edge(
        self,
        asked: int,
        fitted: int,
        state: str = "accepted",
        evidence: EvidenceLevel = DOCUMENT,
        conditions: tuple[str, ...] = (),
    ) -> int:
        return edges.add_edge(NewEdge(asked, fitted, state, evidence, conditions, "QB-1"), by=BY)

    def supplier(self, name: str, currency: str = "EUR", **stated: Any) -> int:
        """Add a supplier who charges nothing but the goods, unless stated (amounts in minor)."""
        supplier = makers.add_supplier(name)
        plain: dict[str, Any] = {"incoterm": "DAP", "named_place": "Fennel Quay", "lead_days": 2}
        row = Terms(supplier, "2026-01-01", currency, **{**plain, **stated})
        store_terms.add_terms(row, by=BY)
        return supplier

    def offer(
        self, supplier: int, part: int, price: str, *, code: str = "", currency: str = "EUR",
        **stated: Any,
    ) -> int:  # fmt: skip
        new = NewOffer(supplier, part, price_e4(price), currency, code or f"C{part}", **stated)
        return offers.add_offers([new], by=BY)[0]

    def grade(self, kind: str, subject: int, grade: str) -> None:
        grades.set_grade((kind, subject), grade, reason="bench", evidence="sheet 1", by=BY)

    def failed_here(self, part: int) -> int:
        """Let a pressure boundary of the part fail on a job; return the comeback."""
        job = bench_record.open_job(DAY, None, serial="", customer_ref="", note="")
        put_in = bench_record.add_fitting(job, part, lot_id=None, place=None, units=1, at=DAY)
        return bench_record.add_comeback(put_in, "burst", pressure_boundary=True, note="", by=BY)

    def explained(self, comeback: int) -> None:
        bench_record.explain(comeback, "frozen by its owner", by=BY)

    def rate(self, currency: str, per_eur: str, date: str = "2026-11-19") -> None:
        store_terms.add_fx_rates([FxRow(date, currency, per_eur, "invented")])

    def recipe(self, name: str, items: list[tuple[int, int]], **stated: Any) -> int:
        rows = [RecipeItemRow(part, quantity) for part, quantity in items]
        return recipes.add_recipe(NewRecipe(name, "EUR", **stated), rows)


def built_bypass_shop(place: Path) -> Path:
    """The bypass kit of a pump, three relatives and a hose: a catalogue that is read at once."""
    init_database(place)
    with open_database(place, write=True):
        small = SmallShop()
        held = (KitItem("Ball", "ball", 1, "wear item", "tungsten carbide"),)
        said = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat"
        kits = [
            small.part("24-1180", "valve kit", rating="3300 psi", description=f"{said}, 3300 psi"),
            small.part("24-1182", "valve kit", rating="3600 psi", description=f"{said}, 3600 psi"),
            small.part("24-1178", "valve kit", rating="3000 psi", description=f"{said}, 3000 psi"),
        ]
        small.edge(kits[2], kits[0])
        small.part("CW 40311", "valve kit", maker="Corrowby", contents=held, description=said)
        hose = "Hose, airless, conductive, 1/4 in x 15 m, 3300 psi"
        small.part("27-1243", "hose", rating="3300 psi", description=hose)
        small.position(small.machine(), "bypass valve", "valve kit", (kits[0],), "3300 psi")
        small.supplier("Saltreeve", "GBP")
        small.supplier("Kestrow")
    return place


def price_list(folder: Path, rows: list[str], *, name: str = "list.csv", head: str = "") -> Path:
    """Write a list as CSV; the usual columns unless `head` names others."""
    head = head or "Part number,Manufacturer,Description,Price EUR"
    path = folder / name
    path.write_text("\n".join((head, *rows)) + "\n", encoding="utf-8")
    return path
