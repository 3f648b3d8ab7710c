"""Taking in the shop's own data: a whole folder or one file, wholly or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from importers.rows import ReaderError
from importers.tabular import table_header
from partsdb.errors import InputRefusedError, PartsdbError, UsageError
from partsdb.jobs import (
    shop_charges,
    shop_links,
    shop_machines,
    shop_parts,
    shop_terms,
    shop_trade,
)
from partsdb.jobs.shop_files import (
    FileFormat,
    FilesRefusedError,
    LoadCount,
    Table,
    read_file,
    typed,
)
from partsdb.jobs.who import stamp
from partsdb.store.rows import Stamp

Load = Callable[[Table, Stamp], LoadCount]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of file: its columns, how it is read, how its rows are stored, what it names.

    `needs` are the kinds of files whose things its rows name.
    """

    format: FileFormat
    load: Load
    needs: tuple[str, ...] = ()

    def closeness(self, header: set[str]) -> tuple[bool, int]:
        """Say how nearly a file's columns are those of the kind."""
        needed = set(self.format.required)
        known = needed.union(self.format.optional)
        return needed <= header <= known, len(header & known) - len(header - known)

    def read(self, path: Path) -> Table:
        """Read the file; raises importers' ReaderError when it has not these columns."""
        if self.format is shop_trade.FX:
            return shop_trade.fx_table(path)
        return read_file(path, self.format)


# In the order in which they need each other.
KINDS: dict[str, Kind] = {
    "parts": Kind(shop_parts.PARTS, shop_parts.load_parts),
    "claims": Kind(shop_parts.CLAIMS, shop_parts.load_claims, ("parts",)),
    "kits": Kind(shop_parts.KITS, shop_parts.load_kits, ("parts",)),
    "machines": Kind(shop_machines.MACHINES, shop_machines.load_machines, ("parts",)),
    "supersessions": Kind(shop_links.SUPERSESSIONS, shop_links.load_supersessions, ("parts",)),
    "stands_in": Kind(shop_links.STANDS_IN, shop_links.load_stands_in, ("parts",)),
    "suppliers": Kind(shop_trade.SUPPLIERS, shop_trade.load_suppliers),
    "terms": Kind(shop_terms.TERMS, shop_terms.load_terms, ("suppliers",)),
    "freight": Kind(shop_terms.FREIGHT, shop_terms.load_freight, ("suppliers",)),
    "fees": Kind(shop_charges.FEES, shop_charges.load_fees, ("suppliers",)),
    "discounts": Kind(shop_charges.DISCOUNTS, shop_charges.load_discounts, ("suppliers",)),
    "deposits": Kind(shop_charges.DEPOSITS, shop_charges.load_deposits, ("suppliers", "parts")),
    "fx": Kind(shop_trade.FX, shop_trade.load_fx),
    "customs_rates": Kind(shop_charges.CUSTOMS_RATES, shop_charges.load_customs_rates),
    "duty": Kind(shop_trade.DUTY, shop_trade.load_duty),
    "grades": Kind(shop_trade.GRADES, shop_trade.load_grades, ("parts", "suppliers")),
    "recipes": Kind(shop_machines.RECIPES, shop_machines.load_recipes, ("parts", "machines")),
}


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """What each file came to."""

    files: tuple[LoadCount, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to look at, of all files."""
        return tuple(caution for count in self.files for caution in count.cautions)


def load_shop(folder: Path, by: Stamp | None = None) -> LoadAnswer:
    """Take in every file of the shop that the folder has, in the order they need each other.

    `by` is who enters it and when (left out, the user now).

    Raises InputRefusedError when a file has a mistake, importers' ReaderError when it is no such
    table, FilesRefusedError when several are bad: all of them are named at once. UsageError for a
    folder without any of the files. The caller's transaction undoes all.
    """
    if not folder.is_dir():
        raise UsageError(f"{folder} is not a folder", hint="give the folder that holds parts.csv …")
    present = {name: kind for name, kind in KINDS.items() if (folder / kind.format.name).exists()}
    if not present:
        names = ", ".join(kind.format.name for kind in KINDS.values())
        raise UsageError(f"{folder} holds none of the shop's files", hint=f"looked for: {names}")
    return _Folder(folder, by or stamp()).load(present)


class _Folder:
    """A folder on its way into the store; every bad file is found before all are refused."""

    def __init__(self, folder: Path, by: Stamp) -> None:
        self._folder, self._by = folder, by
        self._refused: list[PartsdbError | ReaderError] = []
        self._unread: set[str] = set()
        self._unchecked: list[str] = []

    def load(self, kinds: Mapping[str, Kind]) -> LoadAnswer:
        """Take in the files; raises what is wrong with the one that is bad, or with all of them."""
        counts = [count for name, kind in kinds.items() if (count := self._load(name, kind))]
        if len(self._refused) == 1 and not self._unchecked:
            raise self._refused[0]
        if self._refused:
            raise FilesRefusedError(self._refused, self._unchecked)
        return LoadAnswer(tuple(counts))

    def _load(self, name: str, kind: Kind) -> LoadCount | None:
        try:
            table = kind.read(self._folder / kind.format.name)
        except ReaderError as error:
            self._refused.append(error)
            self._unread.add(name)
            return None
        if self._unread.intersection(kind.needs):
            self._unchecked.append(kind.format.name)
            return None
        try:
            return kind.load(table, self._by)
        except InputRefusedError as error:
            self._refused.append(error)
            self._load_the_rest(name, table)
            return None

    def _load_the_rest(self, name: str, table: Table) -> None:
        """Store the good rows, to be undone: so that files which name them are checked fairly."""
        try:
            KINDS[name].load(table.without_bad_rows(), self._by)
        except InputRefusedError:
            self._unread.add(name)


def load_file(kinds: str, path: Path) -> LoadAnswer:
    """Take in one file of the kind ("parts", "claims" …), raises as `load_shop` does.

    Of several kinds ("terms freight") it is the one whose columns the file has.
    """
    kind = _kind_of(path, kinds.split())
    return LoadAnswer((kind.load(kind.read(path), stamp()),))


def _kind_of(path: Path, names: Sequence[str]) -> Kind:
    """Return the first kind to which every column of the file is known, else the nearest one."""
    first, *others = [KINDS[name] for name in names]
    if not others:
        return first
    header = set(table_header(path))
    return max((first, *others), key=lambda kind: kind.closeness(header))


def take(
    kind: str, cells: Mapping[str, str | None], options: Mapping[str, str] | None = None
) -> LoadAnswer:
    """Take in one row of the kind as it was typed; raises UsageError for what is wrong in it.

    `options` names the option by which a column was typed, for that sentence.
    """
    known = {*KINDS[kind].format.required, *KINDS[kind].format.optional}
    strays = set(cells) - known
    if strays:
        raise InputRefusedError(f"{kind} have no {', '.join(sorted(strays))}")
    return LoadAnswer((KINDS[kind].load(typed(kind, cells, options or {}), stamp()),))
