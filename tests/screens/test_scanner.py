"""A scanner at the running desk: heard everywhere, and never taken for a hand."""

from datetime import date
from types import SimpleNamespace

import pytest
from bar_coded_shop import BOARD, GS, give_bar_codes
from textual.events import Key
from textual.widgets import Input

from consumables.desk.opening import Desk
from consumables.desk.ordering import place_packs
from consumables.desk.shelving import lots_of
from consumables.desk.washing import wash_list
from consumables.screens.scanner import PAUSE, Scanner
from consumables.screens.widgets.question import Question
from consumables.screens.widgets.rows import Rows

LABEL = f"]C101{BOARD}1727063010dcx{GS}30{{}}"


@pytest.fixture
def coded(desk: Desk) -> Desk:
    give_bar_codes(desk)
    return desk


async def test_a_scanned_tag_tells_where_the_piece_stands_in_every_place(
    coded: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        for digit in "123456":
            await hand.press(digit)
            await hand.scan("DESK:nipper-02")
            assert "SCANNED nipper-02 (nipper): ready for the next client" in hand.sees


async def test_letters_of_a_scan_that_are_keys_fire_no_command(coded: Desk, at_desk) -> None:
    """On the shelf d throws away, x too, c counts, 1 to 6 go elsewhere, u undoes."""
    async with at_desk() as hand:
        await hand.press("3")
        for code in ("dcxlt1u23456", "cccddd1", f"d{GS}xcu123", "/x12 34c"):
            for end in ("enter", "tab", "ctrl+j"):
                await hand.scan(code, end)
                assert hand.app.current_mode == "shelf"
                assert not isinstance(hand.app.screen, Question)
                assert "NOT DONE" in hand.sees
    assert sum(lot.on_hand for lot in lots_of(coded, "board")) == 57


async def test_forty_scans_at_once_are_forty_scans(coded: Desk, at_desk) -> None:
    async with at_desk() as hand:
        heard: list[str] = []
        hand.app.scanner._scanned = heard.append
        sent = [f"DESK:dxc-{n:02d}" for n in range(40)]
        keys = [Key(sign, sign) for text in sent for sign in text + "\r"]
        for key in keys:  # made at once, however busy the machine was while making them
            key.key = "enter" if key.character == "\r" else key.key
            key.time = keys[0].time
            hand.app.post_message(key)
        await hand.settle()
        assert heard == sent


async def test_a_scanner_that_ends_with_two_keys_presses_no_enter(
    coded: Desk, visit, at_desk
) -> None:
    visit("manicure")
    async with at_desk() as hand:
        for sign in "DESK:nipper-01":
            hand.app.post_message(Key(sign, sign))
        hand.app.post_message(Key("enter", "\r"))
        hand.app.post_message(Key("ctrl+j", "\n"))
        await hand.settle()
        assert "nipper-01 (nipper): ready" in hand.sees
        assert "Card of" not in hand.sees


async def test_what_a_hand_types_does_what_it_always_did(coded: Desk, at_desk) -> None:
    async with at_desk(pause=PAUSE) as hand:
        await hand.press("3", "slash")
        await hand.type("nip")
        assert hand.app.screen.query_one(Input).value == "nip"
        await hand.press("escape", "2")
        assert hand.app.current_mode == "wash"


async def test_a_few_quick_keys_and_enter_are_a_hand(coded: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "slash")
        await hand.scan("nip")
        assert hand.app.screen.query_one(Input).value == "nip"


async def test_on_the_card_a_scanned_tag_names_the_piece(coded: Desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter")
        await hand.scan("DESK:nipper-02")
        await hand.press("c")
    soiled = [p.piece_id for p in wash_list(coded) if p.item_id == "nipper"]
    assert soiled == ["nipper-02"]


async def test_a_piece_that_the_card_does_not_use_is_said_to_be_elsewhere(
    coded: Desk, visit, at_desk
) -> None:
    visit("manicure")
    async with at_desk(size=(120, 30)) as hand:
        await hand.press("enter")
        await hand.scan("DESK:core-01")
        assert "core is not on this card; e adds it." in hand.sees


async def test_a_scanned_pack_fills_in_what_its_label_says(coded: Desk, at_desk) -> None:
    place_packs(coded, "north", {"board-50": 4})
    async with at_desk() as hand:
        await hand.press("4")
        await hand.scan(LABEL.format(2))
        assert [field.value for field in hand.app.screen.query(Input)] == [
            "100",
            "2027-06-30",
            "dcx",
        ]
        await hand.press("enter", "enter", "enter")
        assert "part delivered board 100/200" in hand.sees
    assert date(2027, 6, 30) in {lot.use_by for lot in lots_of(coded, "board")}


async def test_an_open_form_is_filled_by_its_own_pack_only(coded: Desk, at_desk) -> None:
    place_packs(coded, "north", {"board-50": 4})
    async with at_desk() as hand:
        await hand.press("4", "o", "r")
        await hand.scan("]C10109501101530003172706301030")
        assert "That is the label of acetone" in hand.asked
        await hand.scan(f"01{BOARD}17270630" + "10A21B")
        assert "Read the lot off the pack" in hand.asked
        values = [field.value for field in hand.app.screen.query(Input)]
        assert values == ["200", "2027-06-30", ""]
        await hand.press("escape")
    assert date(2027, 6, 30) not in {lot.use_by for lot in lots_of(coded, "board")}


async def test_a_pack_on_no_order_is_taken_in_as_bought(coded: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("4")
        await hand.scan(LABEL.format(1))
        assert "taken in as bought" in hand.asked
        await hand.press("enter", "enter", "enter")
    assert sum(lot.on_hand for lot in lots_of(coded, "board")) == 57 + 50


async def test_a_code_scanned_into_a_field_is_typed_and_nothing_is_written(
    coded: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("3")
        hand.app.screen.query_one(Rows).go_to("board")
        await hand.press("d", "down", "enter")
        await hand.scan("1234567")
        assert isinstance(hand.app.screen, Question)
        assert hand.app.screen.query_one(Input).value == "1234567"


async def test_elsewhere_a_pack_says_where_it_is_taken_in(coded: Desk, at_desk) -> None:
    async with at_desk(size=(120, 30)) as hand:
        await hand.scan(BOARD)
        assert "board: a pack of 50. Scan it at the order (4) to take it in." in hand.sees
        await hand.scan("5012345678900")
        assert "NOT DONE No offer of this shop has the bar code 05012345678900" in hand.sees


class Heard:
    """The keys a scanner passes on, with a clock of their own."""

    def __init__(self) -> None:
        self.passed: list[str] = []
        self.scans: list[str] = []
        timer = SimpleNamespace(stop=lambda: None)
        app = SimpleNamespace(set_timer=lambda *_: timer)
        self.scanner = Scanner(app, self._pass_on, self.scans.append)  # type: ignore[arg-type]

    async def _pass_on(self, key: Key) -> None:  # type: ignore[override]
        self.passed.append(key.key)

    async def keys(self, keys: str, gap: float, start: float = 0.0) -> None:
        for at, sign in enumerate(keys):
            key = Key("enter" if sign == "\r" else sign, sign)
            key.time = start + at * gap
            await self.scanner.hear(key)


async def test_a_fast_typist_is_no_scanner_even_when_the_desk_was_busy() -> None:
    """The keys arrive together, but were pressed 80 ms apart."""
    heard = Heard()
    await heard.keys("manicure\r", 0.08)
    assert heard.scans == []
    assert heard.passed == [*"manicure", "enter"]


async def test_a_scanner_is_heard_whatever_the_desk_was_doing() -> None:
    heard = Heard()
    await heard.keys("DESK:dxc\r", 0.004)
    assert heard.scans == ["DESK:dxc"]
    assert heard.passed == []


async def test_a_key_held_down_repeats_at_once() -> None:
    heard = Heard()
    await heard.keys("++++++++", 0.03)
    assert len(heard.passed) >= 7


async def test_a_slow_scanner_with_a_row_of_zeros_is_no_key_held_down() -> None:
    heard = Heard()
    await heard.keys("02900000000018\r", 0.03)
    assert heard.scans == ["02900000000018"]
    assert heard.passed == []


async def test_letters_typed_before_a_scan_stay_letters() -> None:
    heard = Heard()
    await heard.keys("ab", 0.1)
    await heard.keys("DESK:dxc\r", 0.004, start=1.0)
    assert heard.passed == ["a", "b"]
    assert heard.scans == ["DESK:dxc"]
