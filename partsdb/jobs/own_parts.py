"""A supplier's own parts, as its list brings them: found again by maker and number, else added."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.jobs.reading_list import ReadLine, context_of
from partsdb.matching.readings import ReadingKind
from partsdb.rules.descriptions import role_of
from partsdb.rules.makers import name_key
from partsdb.store import catalogue, claims, makers
from partsdb.store.rows import NewPart, PartRow, Stamp, SupplierRow

_OWN = (ReadingKind.REPLACEMENT, ReadingKind.NEW_PART)


class OwnParts:
    """The parts that a supplier sells under numbers that are not of our catalogue."""

    def __init__(self, supplier: SupplierRow, by: Stamp) -> None:
        self._supplier, self._by = supplier, by
        self._brand = supplier.own_brand or supplier.name
        self._context = context_of(supplier)
        self._asked: dict[int, PartRow] = {}
        self._spelt: dict[str, str] = {}
        self._names = {name_key(row.name): row.name for row in makers.maker_rows()}

    def known(self, lines: Sequence[ReadLine]) -> list[int | None]:
        """Return for each line the stored part that it sells, None for what is not stored."""
        self._asked |= _asked(lines)
        keys = [self._key(line) for line in lines]
        numbers: dict[str, set[str]] = {}
        for maker, number in filter(None, keys):
            numbers.setdefault(maker, set()).add(number)
        found = {maker: catalogue.ids_of_numbers(maker, named) for maker, named in numbers.items()}
        return [None if key is None else found[key[0]].get(key[1]) for key in keys]

    def store(self, lines: Sequence[ReadLine], list_id: int) -> list[int | None]:
        """Store the parts that are new and return each line's own part, None where it has none."""
        self._asked |= _asked(lines)
        keyed = [(i, key) for i, key in enumerate(map(self._key, lines)) if key is not None]
        indices = [i for i, _ in keyed]
        makers_by_name = {
            name: makers.add_maker(name) for name in sorted({maker for _, (maker, _) in keyed})
        }
        ids = catalogue.add_parts(
            [self._part(lines[i], makers_by_name[maker], number) for i, (maker, number) in keyed],
            by=self._by,
            price_list_id=list_id,
        )
        self._store_contents(zip(ids, (lines[i] for i in indices), strict=True))
        own: list[int | None] = [None] * len(lines)
        for index, part_id in zip(indices, ids, strict=True):
            own[index] = part_id
        return own

    def article(self, line: ReadLine) -> tuple[str, str] | None:
        """Return maker and number of the line's own part, None where it sells none of its own."""
        self._asked |= _asked([line])
        return self._key(line)

    def sells(self, line: ReadLine) -> bool:
        """Say whether the line sells a part of the supplier's own, by a number of its own."""
        return self._key(line) is not None

    def _store_contents(self, pairs: Iterable[tuple[int, ReadLine]]) -> None:
        """Keep what lists say their own kits hold; what the shop states of a kit stays."""
        stated = {part_id: line.contents for part_id, line in pairs if line.contents}
        rows = catalogue.part_rows(stated)
        from_lists = {
            part_id: held
            for part_id, held in stated.items()
            if rows[part_id].price_list_id is not None
            and rows[part_id].contents_stated != claims.BY_THE_SHOP
        }
        claims.set_contents_of(from_lists, by_seller=True)

    def _key(self, line: ReadLine) -> tuple[str, str] | None:
        """Return maker and number of a line's own part, None where it sells none of its own.

        Who claims to replace a maker's part does not sell that maker's part: the brand named on
        such a line is the article's only when it is known and another one.
        """
        text = line.listed.text
        named = self._maker(text.maker)
        if line.reading.kind is ReadingKind.REPLACEMENT:
            number = text.code.strip() or text.maker_number.strip()
            is_known = named in self._names.values() and named != self._asked_maker(line)
            return (named if is_known else self._brand, number) if number else None
        number = text.maker_number.strip() or text.code.strip()
        return (named or self._brand, number) if line.reading.kind in _OWN and number else None

    def _maker(self, written: str) -> str:
        """Return the maker's name as we spell it; a name nobody knows stays as written."""
        found = self._spelt.get(written)
        if found is None:
            known = self._names.get(self._context.maker_of(written)) if written.strip() else ""
            found = self._spelt[written] = written.strip() if known is None else known
        return found

    def _asked_maker(self, line: ReadLine) -> str:
        asked = self._asked.get(line.reading.part_id or 0)
        return asked.maker if asked else ""

    def _part(self, line: ReadLine, maker_id: int, number: str) -> NewPart:
        text = line.listed.text
        replaced = self._asked.get(line.reading.part_id or 0)
        # What it calls itself counts: a hose that claims to replace a valve kit is still a hose.
        role = role_of(text.description) or (replaced.role if replaced else "")
        return NewPart(
            maker_id,
            number,
            text.description,
            role,
            origin=line.listed.row.fields.get("origin", ""),
        )


def _asked(lines: Iterable[ReadLine]) -> dict[int, PartRow]:
    """Return the parts of ours that the lines are about."""
    ids = {line.reading.part_id for line in lines if line.reading.part_id is not None}
    return catalogue.part_rows(ids)
