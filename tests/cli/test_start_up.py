"""What a command loads before it answers: its own code, and no library that it has no use for."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

from partsdb.cli.main import MODULES

ROOT = Path(__file__).parents[2]

# Slow to load, and of use to a list that is read, a basket, an export or a large catalogue alone.
HEAVY = {
    "PIL", "asyncio", "multiprocessing", "lxml", "numpy", "openpyxl", "pdfminer",
    "pdfplumber", "pypdfium2", "python_calamine", "rapidfuzz", "rich", "scipy", "stdnum", "unittest",
}  # fmt: skip
LISTS = {"importers", "partsdb.matching", "partsdb.jobs.reading_list", "partsdb.jobs.intake"}
JUDGING = {"partsdb.rules.judge", "partsdb.rules.threads", "partsdb.jobs.weigh"}
COSTING = {"partsdb.rules.costing", "partsdb.rules.landed", "partsdb.rules.basket"}
LOADING = {"partsdb.jobs.catalogue", "partsdb.jobs.shop_files", "partsdb.store.models"}
SHOWN = LISTS | JUDGING | COSTING | LOADING

COMMANDS = [
    ("part show 24-1180 --maker Quillmere", SHOWN),
    ("part find valve", SHOWN | {"partsdb.rules.pressure"}),
    ("kit contents show 24-1180 --maker Quillmere", SHOWN | {"partsdb.rules.pressure"}),
    ("machine show Q33", LISTS | JUDGING | COSTING | LOADING),
    ("supplier show", SHOWN | {"partsdb.rules.facts", "partsdb.rules.pressure"}),
    ("fx show", SHOWN | {"partsdb.rules.facts", "partsdb.rules.pressure"}),
    ("duty show", SHOWN | {"partsdb.rules.facts", "partsdb.rules.pressure"}),
    ("grade show", SHOWN | {"partsdb.rules.pressure"}),
    ("setting show", LISTS | JUDGING | COSTING | LOADING),
    ("job show", SHOWN | {"partsdb.rules.pressure"}),
    ("lot show", LISTS | COSTING | LOADING),
    ("lot trace --part 24-1180 --maker Quillmere", SHOWN | {"partsdb.rules.pressure"}),
    ("history", SHOWN | {"partsdb.rules.pressure"}),
    ("rebuild show", SHOWN | {"partsdb.rules.pressure"}),
    ("machine chain Q33", LISTS | COSTING | LOADING),
    ("instead 24-1180 --machine Q33", LISTS | LOADING | {"partsdb.rules.basket"}),
    ("rebuild cost Q33_bypass_rebuild", LISTS | LOADING),
]


@pytest.fixture(scope="module")
def loaded_by(built_shop_with_lists: Path, tmp_path_factory):
    """Return what a command, in a process of its own, has loaded when it ends well."""
    written = tmp_path_factory.mktemp("modules") / "modules.json"
    program = (
        "import json, sys; from partsdb.cli.main import run\n"
        "try: run(sys.argv[2:])\n"
        "finally: json.dump(list(sys.modules), open(sys.argv[1], 'w'))"
    )

    def loaded(*typed: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", program, str(written), *typed],
            cwd=ROOT, capture_output=True, text=True, check=False,
            env={**os.environ, "PARTSDB_DB": str(built_shop_with_lists)},
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        names = json.loads(written.read_text())
        return {".".join(name.split(".")[:n]) for name in names for n in range(1, 5)}

    return loaded


@pytest.mark.parametrize(("command", "barred"), COMMANDS, ids=[each for each, _ in COMMANDS])
def test_a_command_loads_nothing_that_it_has_no_use_for(command, barred, loaded_by):
    loaded = loaded_by(*(word.replace("_", " ") for word in command.split()))
    assert "partsdb.store.connect" in loaded  # it has opened the database, so it has done its work
    assert loaded & (HEAVY | barred) == set()


@pytest.mark.parametrize("command", ["part show 24-1180 --maker Quillmere", "history", "lot show"])
def test_a_command_loads_its_own_module_of_commands_alone(command, loaded_by):
    loaded = loaded_by(*command.split())
    [home] = [module for module, words in MODULES.items() if command.split()[0] in words]
    assert [module for module in MODULES if f"partsdb.cli.{module}" in loaded] == [home]


@pytest.mark.parametrize(
    "typed", [["--help"], ["part", "--help"], ["instead", "--help"], ["--version"]]
)
def test_help_and_version_open_no_database_and_load_no_job(typed, loaded_by):
    loaded = loaded_by(*typed)
    assert (
        loaded & (HEAVY | {"partsdb.jobs", "partsdb.store", "partsdb.render", "peewee", "sqlite3"})
        == set()
    )


def test_the_command_line_library_brings_no_pydantic(loaded_by):
    """From 0.29 on it does: the bound in pyproject.toml keeps it out until that is lazy again."""
    installed = tuple(int(n) for n in version("typer").split(".")[:2])
    assert installed < (0, 29), "install again as the README says"
    assert "pydantic" not in loaded_by("fx", "show")
