"""The house keeps its shape: who loads what, how large a module may be, what lies at the top."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "consumables"
CARD = {"README.md", "DEVELOPERS.md", "pyproject.toml", "consumables", "tests", "demo_shop", "docs"}
MODULES = sorted(PACKAGE.rglob("*.py"))
DRAWERS = {"utils", "util", "helpers", "helper", "manager", "managers", "models", "misc", "common"}
TABLES = {"numpy", "pandas"}
STORE = {"sqlmodel", "sqlalchemy", "sqlite3"}
SCREENS = {"textual"}
PURE = ("items", "ledger", "closeout")
MOST_LINES = 300
LOADED = "import json, sys; {code}; print('\\n' + json.dumps(sorted(sys.modules)))"


def loaded_by(code: str) -> set[str]:
    """Top-level packages in a fresh interpreter after `code`."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED.format(code=code)],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    names: list[str] = json.loads(done.stdout.splitlines()[-1])
    return {name.split(".")[0] for name in names}


def every_module_of(shelf: str) -> str:
    """Code that imports each module of a shelf."""
    names = (
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in (PACKAGE / shelf).rglob("*.py")
    )
    return "import " + ", ".join(name.removesuffix(".__init__") for name in names)


def run(*words: str) -> str:
    """Code that runs a command and stays alive after it."""
    return (
        f"from consumables.cli import main; sys.argv = ['consumables', *{list(words)!r}]\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "pass"
    )


@pytest.mark.parametrize("shelf", PURE)
def test_the_rules_of_the_trade_load_no_table_no_store_and_no_screen(shelf: str) -> None:
    assert loaded_by(every_module_of(shelf)).isdisjoint(TABLES | STORE | SCREENS)


@pytest.mark.parametrize("shelf", ["reorder", "reports"])
def test_the_planner_and_the_reports_load_no_store_and_no_screen(shelf: str) -> None:
    assert loaded_by(every_module_of(shelf)).isdisjoint(STORE | SCREENS)


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("classify", "wood stick")])
def test_quick_commands_load_nothing_heavy(words: tuple[str, ...]) -> None:
    heavy = TABLES | STORE | SCREENS | {"rich", "pydantic", "icalendar", "openpyxl", "pint", "biip"}
    assert loaded_by(run(*words)).isdisjoint(heavy)


def test_the_first_screen_paints_before_tables_and_store_are_read() -> None:
    assert loaded_by("import consumables.screens.app").isdisjoint(TABLES | STORE)


@pytest.mark.parametrize("shelf", PURE)
def test_the_rules_of_the_trade_never_look_at_the_clock(shelf: str) -> None:
    asked = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in (PACKAGE / shelf).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in ("now", "utcnow", "today")
        if isinstance(node.value, ast.Name) and node.value.id in ("datetime", "date", "time")
    ]
    assert asked == []


def test_the_folder_listing_tells_the_story_of_the_day() -> None:
    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} == CARD


def test_no_module_is_a_drawer() -> None:
    assert [path for path in MODULES if path.stem in DRAWERS or path.parent.name in DRAWERS] == []


def test_no_module_is_longer_than_three_hundred_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in MODULES
        if (lines := path.read_text(encoding="utf-8").count("\n")) > MOST_LINES
    }
    assert long == {}


def test_every_module_opens_with_a_sentence() -> None:
    silent = [
        str(path.relative_to(ROOT))
        for path in MODULES
        if not _opens_with_a_sentence(path.read_text(encoding="utf-8"))
    ]
    assert silent == []


def _opens_with_a_sentence(text: str) -> bool:
    said = ast.get_docstring(ast.parse(text)) or ""
    return said.split("\n\n")[0].rstrip().endswith((".", "?", "!"))


def test_every_style_begins_with_a_class_of_its_screen() -> None:
    loose = [
        f"{path.relative_to(ROOT)}: {selector}"
        for path in sorted(PACKAGE.rglob("*.tcss"))
        for selector in _selectors(path.read_text(encoding="utf-8"))
        if not re.match(r"[A-Z]\w+", selector)
    ]
    assert loose == []


def _selectors(styles: str) -> Iterator[str]:
    """Outermost selectors of a style sheet."""
    bare = re.sub(r"/\*.*?\*/", "", styles, flags=re.DOTALL)
    depth, start = 0, 0
    for at, sign in enumerate(bare):
        if sign == "{":
            if depth == 0:
                yield from (one.strip() for one in bare[start:at].split(","))
            depth += 1
        elif sign == "}":
            depth -= 1
            start = at + 1


def test_every_library_that_is_imported_is_asked_for() -> None:
    known = {"consumables", *sys.stdlib_module_names}
    imported = {name for path in MODULES for name in _imports(path)} - known
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {
        re.split(r"[<>=\[ ]", one)[0].replace("-", "_").lower() for one in wanted["dependencies"]
    }
    sold_as = {"dateutil": "python_dateutil"}
    assert {sold_as.get(name, name) for name in imported} - asked == set()


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name.split(".")[0] for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.split(".")[0]
