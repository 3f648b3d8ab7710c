"""Every command has its help, and the README names it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from cli_calls import called

from partsdb.cli import main
from partsdb.cli.main import MODULES, application

README = Path(__file__).parents[2] / "README.md"


def commands(group: Any, above: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    for name, command in sorted(group.commands.items()):
        if hasattr(command, "commands"):
            yield from commands(command, (*above, name))
        else:
            yield (*above, name), command


EVERY = list(commands(typer.main.get_command(application(*MODULES))))
NAMES = [" ".join(path) for path, _ in EVERY]


def test_the_commands_of_the_design_are_there():
    wanted = {
        "demo", "init", "instead", "vet", "rebuild cost", "rebuild show", "rebuild add",
        "pricelist read", "pricelist show", "pricelist withdraw", "part add", "part show",
        "part find", "part supersede", "kit contents", "machine add", "machine show",
        "machine chain", "supplier add", "supplier show", "supplier terms", "grade set",
        "grade show", "doctor", "backup", "restore", "history",
    }  # fmt: skip
    assert {name for name in wanted if not any(n.startswith(name) for n in NAMES)} == set()


@pytest.mark.parametrize(("path", "command"), EVERY, ids=NAMES)
def test_every_command_and_each_of_its_options_has_help(path, command):
    assert command.help, path
    assert command.help.strip().endswith((".", "?")) or "\n" in command.help or "?" in command.help
    without = [each.name for each in command.params if not getattr(each, "help", "")]
    assert without == []


@pytest.mark.parametrize("path", [path for path, _ in EVERY], ids=NAMES)
def test_help_is_printed_on_stdout_and_ends_well(path, capsys):
    answer = called(capsys, *path, "--help")
    assert answer.code == 0
    assert answer.err == ""
    assert "Usage: partsdb " in answer.out
    assert "Traceback" not in answer.out


def test_the_readme_names_every_command():
    readme = " ".join(README.read_text(encoding="utf-8").split())
    assert [name for name in NAMES if name not in readme] == []


@pytest.mark.parametrize("module", MODULES)
def test_a_word_calls_for_the_module_that_has_its_command(module):
    alone = typer.main.get_command(application(module))
    assert sorted(alone.commands) == sorted(MODULES[module])


def test_no_word_calls_for_two_modules_and_the_help_lists_them_all(capsys):
    words = [word for each in MODULES.values() for word in each]
    assert len(words) == len(set(words))
    listed = called(capsys, "--help").out.split("Commands:")[1]
    assert sorted(line.split()[0] for line in listed.splitlines() if line[:3].strip()) == sorted(
        words
    )


@pytest.mark.parametrize("path", [path for path, _ in EVERY], ids=NAMES)
def test_the_help_is_the_same_whether_one_module_is_loaded_or_all(path, capsys, monkeypatch):
    alone = called(capsys, *path, "--help")
    monkeypatch.setattr(main, "modules_for", lambda typed: list(MODULES))
    assert called(capsys, *path, "--help") == alone


def test_without_a_command_the_help_is_the_answer(capsys):
    answer = called(capsys)
    assert answer.code == 2
    assert "Usage:" in answer.out + answer.err


def test_the_version_is_that_of_the_package(capsys):
    from importlib.metadata import version

    assert called(capsys, "--version").out == f"partsdb {version('partsdb')}\n"
