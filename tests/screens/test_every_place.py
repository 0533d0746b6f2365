"""What holds in all six places: small terminals, plain sentences, no colour where none is asked."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from textual.screen import Screen

from consumables.desk import washing
from consumables.desk.opening import Desk, open_desk
from consumables.errors import Refused, ShopUnavailable
from consumables.screens import fault_log
from consumables.screens.app import ShopApp
from consumables.screens.explain import page_text
from consumables.screens.place import Place
from consumables.screens.widgets.rows import Rows

STATE_WORDS = {
    "1": "due",
    "2": "soiled",
    "3": "past use-by",
    "4": "TO BUY",
    "5": "disinfectable",
    "6": "discarded",
}


@pytest.fixture
def busy_day(desk: Desk, visit) -> Desk:
    from consumables.desk.closing import card_for, close_visit

    close_visit(desk, card_for(desk, visit("manicure", visit_id="done")))
    visit("pedicure", visit_id="next")
    return desk


def nothing_is_cut_off(screen: Screen[Any]) -> bool:
    lists = [rows for rows in screen.query(Rows) if rows.size.width]
    return all(rows.virtual_size.width <= rows.size.width for rows in lists)


@pytest.mark.parametrize("size", [(80, 24), (140, 40)])
async def test_every_place_shows_its_states_as_words(busy_day: Desk, at_desk, size) -> None:
    async with at_desk(size=size) as hand:
        for digit, word in STATE_WORDS.items():
            await hand.press(digit)
            assert word in hand.sees
            assert nothing_is_cut_off(hand.app.screen)


async def test_a_very_small_terminal_loses_columns_and_nothing_else(
    busy_day: Desk, at_desk
) -> None:
    async with at_desk(size=(40, 15)) as hand:
        for digit, word in STATE_WORDS.items():
            await hand.press(digit)
            assert word in hand.sees
            assert nothing_is_cut_off(hand.app.screen)
        await hand.press("1", "enter")
        assert "strip + wash" in hand.sees
        await hand.press("question_mark")
        await hand.press("escape")


async def test_every_place_has_help_in_her_words(busy_day: Desk, at_desk) -> None:
    async with at_desk() as hand:
        for digit in STATE_WORDS:
            await hand.press(digit)
            assert isinstance(hand.app.screen, Place)
            assert "Everywhere" in page_text(hand.app.screen.HELP_PAGE)


async def test_a_problem_of_the_desk_is_shown_as_its_sentence(
    desk: Desk, at_desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise Refused("The sink is blocked: call somebody, then try again.")

    monkeypatch.setattr(washing, "wash_list", refuse)
    async with at_desk() as hand:
        await hand.press("2")
        assert "NOT DONE The sink is blocked: call somebody, then try again." in hand.sees


async def test_an_unforeseen_fault_is_one_plain_line_and_no_client_is_named(
    desk: Desk, at_desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise KeyError("Ms Example, c01")

    monkeypatch.setattr(washing, "wash_list", fail)
    monkeypatch.setattr(fault_log, "log_path", lambda: tmp_path / "log" / "screens.log")
    async with at_desk() as hand:
        await hand.press("2")
        assert "NOT DONE Something failed that nobody foresaw (KeyError" in hand.sees
        assert "Ms Example" not in hand.sees
    written = (tmp_path / "log" / "screens.log").read_text()
    assert "KeyError" in written
    assert "Ms Example" not in written


async def test_a_shop_that_is_not_there_is_told_with_what_to_do(at_desk, tmp_path: Path) -> None:
    missing = str(tmp_path / "nowhere.db")
    with pytest.raises(ShopUnavailable) as told, open_desk(missing):
        pass
    async with at_desk(size=(140, 40), shop=missing) as hand:
        assert "NOT DONE There is no shop at" in hand.sees
        assert str(told.value).split(". ")[1] in hand.sees


async def test_initials_the_shop_does_not_know_are_refused_until_somebody_signs(
    desk: Desk, at_desk
) -> None:
    async with at_desk(who="ZZ") as hand:
        assert "NOT DONE Nobody here signs as ZZ" in hand.sees
        assert "nobody signs (i)" in hand.sees
        await hand.press("i", "down", "enter")
        assert hand.app.line.who == "CD"
        assert "CD signs from now on." in hand.sees


def test_without_colour_the_theme_sends_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = ShopApp(None)
    assert app.no_color
    assert app.current_theme.ansi


async def test_without_colour_no_theme_is_offered_that_could_not_be_read(
    desk: Desk, at_desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with at_desk() as hand:
        offered = {command.title for command in hand.app.get_system_commands(hand.app.screen)}
        assert "Theme" not in offered
        await hand.press("3")
        assert "past use-by" in hand.sees


def test_the_first_screen_waits_for_nothing_heavy() -> None:
    code = (
        "import sys, consumables.screens.app, consumables.screens.today;"
        "heavy = {'pandas', 'numpy', 'sqlmodel', 'sqlalchemy'} & set(sys.modules);"
        "sys.exit(' '.join(heavy) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
