"""The floors of the house: each imports only from below (DEVELOPERS.md, "The house")."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

BELOW = {
    "partsdb/rules": ("partsdb.rules", "partsdb.tables", "partsdb.errors"),
    "partsdb/tables": ("partsdb.tables", "partsdb.errors"),
    "partsdb/matching": ("partsdb.matching", "partsdb.rules", "partsdb.errors"),
    "partsdb/store": ("partsdb.store", "partsdb.rules", "partsdb.errors"),
    "partsdb/render": ("partsdb.render", "partsdb.rules", "partsdb.errors"),
    "partsdb/jobs": (
        "partsdb.jobs",
        "partsdb.store",
        "partsdb.matching",
        "partsdb.rules",
        "partsdb.errors",
        "importers",
    ),
    "partsdb/cli": (
        "partsdb.cli",
        "partsdb.jobs",
        "partsdb.render",
        "partsdb.store.connect",
        "partsdb.errors",
        "importers.rows",
    ),
    "importers": ("importers",),
}

# A rule computes; it never reads a file, a clock, a database or a random number.
BARRED_FROM_RULES = {
    "peewee",
    "sqlite3",
    "typer",
    "csv",
    "pathlib",
    "random",
    "time",
    "os",
    "io",
    "datetime.datetime",
    "openpyxl",
    "rapidfuzz",
}


def imported_names(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {f"{node.module}.{alias.name}" for alias in node.names} | {str(node.module)}
    return names


def ours(name: str) -> bool:
    return name.split(".")[0] in {"partsdb", "importers"} and name != "partsdb"


def allowed(name: str, below: tuple[str, ...]) -> bool:
    return any(name == floor or name.startswith(f"{floor}.") for floor in below)


@pytest.mark.parametrize("floor", BELOW)
def test_floor_imports_only_from_below(floor: str) -> None:
    files = sorted((ROOT / floor).rglob("*.py"))
    assert files, f"{floor} has no code: the test would pass on nothing"
    strays = {
        f"{path.relative_to(ROOT)}: {name}"
        for path in files
        for name in imported_names(path)
        if ours(name)
        and not allowed(name, BELOW[floor])
        # "from partsdb.store import connect" also yields the bare package name
        and not any(b.startswith(f"{name}.") for b in BELOW[floor])
    }
    assert strays == set()


def test_rules_touch_no_file_clock_or_database() -> None:
    strays = {
        f"{path.name}: {name}"
        for path in (ROOT / "partsdb/rules").rglob("*.py")
        for name in imported_names(path)
        if name in BARRED_FROM_RULES
        or name.split(".")[0] in BARRED_FROM_RULES - {"datetime.datetime"}
    }
    assert strays == set()


def test_sql_stands_in_the_store_alone() -> None:
    """A module that executes SQL, or imports an engine, lies under partsdb/store."""
    strays = {
        str(path.relative_to(ROOT))
        for folder in ("partsdb", "importers")
        for path in (ROOT / folder).rglob("*.py")
        if "store" not in path.parts and imported_names(path) & {"sqlite3", "peewee"}
    }
    assert strays == set()
