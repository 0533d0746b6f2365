"""What holds for every command: options anywhere, exit codes, sentences instead of tracebacks."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from consumables import __version__
from consumables.cli import main


def commands(group: click.Group = main, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        found = group.get_command(context, name)
        yield (*path, name)
        if isinstance(found, click.Group):
            yield from commands(found, (*path, name))


@pytest.mark.parametrize("words", [(), *commands()], ids=" ".join)
def test_every_command_explains_itself_with_an_example(words: tuple[str, ...]) -> None:
    done = CliRunner().invoke(main, [*words, "--help"])
    assert done.exit_code == 0
    explained, _, example = done.output.partition("\nExample")
    assert " ".join(("consumables", *words)) in example
    assert "--who" in explained


def test_the_version_is_shown() -> None:
    assert CliRunner().invoke(main, ["--version"]).output == f"consumables {__version__}\n"


def test_who_and_where_may_stand_before_or_after_the_command(run, shop, monkeypatch) -> None:
    monkeypatch.setenv("CONSUMABLES_SHOP", "nowhere.db")
    monkeypatch.setenv("CONSUMABLES_WHO", "ZZ")
    assert run("--shop", shop, "--who", "CD", "today").exit_code == 0
    assert run("today", "--shop", shop, "--who", "CD").exit_code == 0
    assert run("--shop", "elsewhere.db", "today", "--shop", shop, "--who", "CD").exit_code == 0


def test_initials_the_shop_does_not_know_are_refused(run) -> None:
    done = run("--who", "ZZ", "today")
    assert done.exit_code == 1
    assert "AB, CD" in done.stderr


def test_an_unsigned_job_says_so(run, monkeypatch) -> None:
    monkeypatch.delenv("CONSUMABLES_WHO")
    assert "Nobody signed this" in run("close", "v1").stderr


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("today",), 0),
        (("items", "anvil"), 1),
        (("tody",), 2),
        (("today", "--day", "tomorrow"), 2),
        (("close", "v1", "--extra", "=3"), 2),
        (("close", "v1", "--extra", "board=many"), 2),
        (("close", "v1", "--piece", "nipper"), 2),
        (("bring-in", "catalogue", "nowhere"), 3),
        (("today", "--shop", "nowhere.db"), 4),
        (("today", "--shop", "postgresql://nowhere/shop"), 4),
    ],
)
def test_exit_codes_are_as_documented(run, words, code) -> None:
    done = run(*words)
    assert done.exit_code == code
    assert bool(done.stderr.strip()) or code == 0


def test_a_file_that_is_no_shop_is_left_alone(run, tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear supplier, " * 200)
    assert run("today", "--shop", str(letter)).exit_code == 4
    assert letter.read_text().startswith("Dear supplier")


def test_without_a_terminal_the_screens_stay_shut(run) -> None:
    done = run()
    assert done.exit_code == 2
    assert "consumables --help" in done.stderr


def test_a_fault_of_the_tool_is_one_line_and_tells_nothing_of_a_client(
    run, monkeypatch, tmp_path: Path
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("client Maria c01")

    monkeypatch.setattr("consumables.desk.today.glance", fails)
    monkeypatch.setattr("platformdirs.user_log_path", lambda *_, **__: tmp_path)
    done = run("today")
    assert done.exit_code == 1
    assert done.stderr.count("\n") == 1
    noted = (tmp_path / "faults.log").read_text()
    assert "RuntimeError" in noted
    assert "visits.py:" in noted
    assert "Maria" not in noted + done.output


def test_an_interrupt_is_told_and_has_its_own_code(run, monkeypatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("consumables.desk.today.glance", interrupted)
    done = run("today")
    assert done.exit_code == 130
    assert "Interrupted" in done.stderr


@pytest.mark.parametrize("words", ["--help", "book show strict-majority", "book --json"])
@pytest.mark.skipif(not hasattr(os, "fork"), reason="pipes of this kind only on Unix")
def test_a_reader_that_has_had_enough_ends_it_quietly(words: str) -> None:
    line = f"{sys.executable} -m consumables {words} | true"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", line], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0
    assert done.stderr == ""
