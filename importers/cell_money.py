"""The currency that price cells themselves name, held against that of the heading and of the row.

What contradicts the row's own currency makes no price; what contradicts the heading, or the text
above the table, is asked about, and counts as a person settled it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from importers.breaks import BREAK
from importers.rows import CELLS, HEADING, Alarm
from importers.tables import Table
from importers.wording import counted

_CODE = re.compile(r"[A-Za-z]{3}")


class CellMoney:
    """Settles the currency of the rows of one table.

    `others` counts the currencies of cells that contradict what the list states; `sample` is where
    the first of them stands.
    """

    def __init__(self, table: Table) -> None:
        settled = table.layout.settled if table.layout else ()
        self.stated = table.stated
        self.others: Counter[str] = Counter()
        self.sample = ""
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
        """Return the question which currency counts, when cells contradict what the list states."""
        if not self.others or self._cells_count:
            return []
        count = sum(self.others.values())
        named = " or ".join(sorted(self.others))
        says = "says" if count == 1 else "say"
        return [
            Alarm(
                f"{place}: the prices are said to be in {self.stated}, and "
                f"{counted(count, 'price cell')} {says} {named}, the first at {self.sample}: say "
                f"--currency {self.stated} if the signs in the cells are wrong, or --save the "
                "layout as it is if each cell counts as it stands",
                CELLS,
            )
        ]
