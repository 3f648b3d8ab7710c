"""The currency that cells and rows name themselves, held against that of the heading.

What contradicts the row's own currency makes no price; what contradicts the heading, or the text
above the table, is asked about, and counts as a person settled it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from importers.breaks import BREAK
from importers.currency_words import unit_currency
from importers.rows import CELLS, HEADING, Alarm
from importers.tables import Table, price_column
from importers.wording import counted

_CODE = re.compile(r"[A-Za-z]{3}")


class CellMoney:
    """Settles the currency of the rows of one table.

    `others` counts the currencies of cells that contradict what the list states; `sample` is where
    the first of them stands; `rows` are the places of rows that name another one than the heading.
    """

    def __init__(self, table: Table) -> None:
        settled = table.layout.settled if table.layout else ()
        self.stated = table.stated
        self.others: Counter[str] = Counter()
        self.sample = ""
        self.rows: dict[str, list[str]] = {}
        self.headed = _headed(table)
        self._currency = table.currency
        self._heading_counts, self._cells_count = HEADING in settled, CELLS in settled

    def settle(
        self,
        fields: dict[str, str],
        amounts: dict[str, str],
        priced: str,
        said: Mapping[str, str],
    ) -> list[str]:
        """Give a row its currency and return what is odd about it.

        `priced` is the currency that the cell of its price names, `said` that of every price cell.
        """
        notes = []
        row = fields.get("currency", "").strip()
        if priced and not row and self.stated not in ("", priced):
            if self._heading_counts:
                return [f"the price cell says {priced}; {self.stated} counts, as was settled"]
            self.others[priced] += 1
            notes.append(f"the price cell says {priced}, the heading {self.stated}")
        if priced:
            fields.setdefault("currency", priced)
            if _CODE.fullmatch(row) and row.upper() != priced:
                amounts["price"] = ""
                notes.append(
                    f"no price: the cell says {priced}, the row's currency is {row}: "
                    "ask the supplier"
                )
        return notes + self._breaks(fields, amounts, said)

    def settle_row(self, fields: dict[str, str], place: str) -> list[str]:
        """Hold the currency that a row names in its own column against that of the heading."""
        named = fields.get("currency", "").strip().upper()
        if named in ("", self.headed):
            return []
        if self._heading_counts:
            fields["currency"] = self.headed
            return [f"the row names {named}; {self.headed} counts, as was settled"]
        self.rows.setdefault(named, []).append(place)
        return [f"the row names {named}, the heading {self.headed}"]

    def _breaks(
        self, fields: Mapping[str, str], amounts: dict[str, str], said: Mapping[str, str]
    ) -> list[str]:
        """Leave out price breaks in another currency than the price."""
        money = fields.get("currency", "").strip().upper() or self._currency
        strange = {k: each for k, each in said.items() if k.startswith(BREAK) and each != money}
        amounts |= {key: "" for key in strange if money}
        return [
            f"the price from {key.removeprefix(BREAK)} units is in {each}, not in {money}: left out"
            for key, each in strange.items()
            if money
        ]

    def alarms(self, place: str) -> list[Alarm]:
        """Return the question which currency counts, when cells or rows contradict the heading."""
        if self._cells_count:
            return []
        found = []
        if count := sum(self.others.values()):
            says = "says" if count == 1 else "say"
            cells = f"{counted(count, 'price cell')} {says} {' or '.join(sorted(self.others))}"
            found.append(self._alarm(place, self.stated, f"{cells}, the first at {self.sample}"))
        if rows := [row for each in self.rows.values() for row in each]:
            names = "names" if len(rows) == 1 else "name"
            told = f"{counted(len(rows), 'row')} {names} {' or '.join(sorted(self.rows))}"
            found.append(self._alarm(place, self.headed, f"{told}, the first {rows[0]}"))
        return found

    def _alarm(self, place: str, stated: str, told: str) -> Alarm:
        return Alarm(
            f"{place}: the prices are said to be in {stated}, and {told}: say --currency {stated} "
            "if the signs in the cells are wrong, or --save the layout as it is if each cell "
            "counts as it stands",
            CELLS,
        )


def _headed(table: Table) -> str:
    """Return the currency of the price's heading where rows name theirs as well, else ""."""
    price = price_column(table.keys)
    return unit_currency(price.unit) if price and "currency" in dict(table.keys) else ""
