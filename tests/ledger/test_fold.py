"""State is what the ledger adds up to; a mistake is put right by a further entry."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from consumables.errors import Refused
from consumables.ledger.events import (
    Cleaned,
    DeliveryReceived,
    Discarded,
    Entry,
    EntryCorrected,
    Event,
    LotReceived,
    OrderPlaced,
    OutsideUseRecorded,
    PieceTagged,
    Pouched,
    Soiled,
    StockCounted,
    Treated,
    TreatmentStarted,
    UseRecorded,
    VisitClosed,
)
from consumables.ledger.fold import Balance, Key, fold
from consumables.ledger.orders import OrderBalance
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance, first_to_expire
from consumables.ledger.wash_events import ClockRestarted, SentBack
from consumables.words import Outcome, PieceState, Route

DAY = datetime(2026, 3, 4, tzinfo=UTC)
BOARDS = LotReceived("board", "lot", 10)
NIPPER = LotReceived("nipper", "metal", 1)
TAGGED = PieceTagged("nipper", "metal", "n1", ready=True)


def after(*events: Event) -> dict[Key, Balance]:
    return dict(fold(Entry(n, DAY, "AB", f"job{n}", e) for n, e in enumerate(events, 1)))


def lot(balances: dict[Key, Balance], name: str = "lot") -> LotBalance:
    found = balances[Key("lot", name)]
    assert isinstance(found, LotBalance)
    return found


def piece(balances: dict[Key, Balance]) -> PieceBalance:
    found = balances[Key("piece", "n1")]
    assert isinstance(found, PieceBalance)
    return found


def test_a_use_takes_units_and_its_discard_takes_no_more() -> None:
    use = UseRecorded("board", "v1", "manicure", 2, lot_id="lot")
    binned = Discarded("board", 2, "used on one client", lot_id="lot", visit_id="v1")
    assert lot(after(BOARDS, use, binned)).on_hand == 8


def test_a_discard_off_the_shelf_takes_units() -> None:
    assert lot(after(BOARDS, Discarded("board", 3, "dropped", lot_id="lot"))).on_hand == 7


def test_a_count_states_what_was_seen() -> None:
    assert lot(after(BOARDS, StockCounted("board", "lot", 4, 10))).on_hand == 4


def test_nothing_falls_below_nothing() -> None:
    with pytest.raises(Refused, match="holds 10, not 11"):
        after(BOARDS, UseRecorded("board", "v1", "manicure", 11, lot_id="lot"))


def test_a_reversed_entry_counts_as_if_it_had_not_been() -> None:
    use = UseRecorded("board", "v1", "manicure", 2, lot_id="lot")
    assert lot(after(BOARDS, use, EntryCorrected(2, "reversed", "wrong visit"))).on_hand == 10


def test_a_use_outside_the_counted_stock_leaves_the_lot_alone_and_stays_open() -> None:
    balances = after(BOARDS, OutsideUseRecorded("board", "v1", "manicure", 3, "none left"))
    assert lot(balances).on_hand == 10
    assert Key("flag", "2") in balances


def test_a_piece_counts_its_uses_and_is_soiled_by_them() -> None:
    used = UseRecorded("nipper", "v1", "manicure", 1, piece_id="n1")
    found = piece(after(NIPPER, TAGGED, used, Soiled("nipper", "n1", "v1")))
    assert (found.uses, found.state) == (1, PieceState.SOILED)


def test_a_ready_piece_cannot_be_cleaned_and_a_soiled_one_cannot_be_used() -> None:
    with pytest.raises(Refused, match="only when it is soiled"):
        after(NIPPER, TAGGED, Cleaned("nipper", "n1"))
    again = UseRecorded("nipper", "v2", "manicure", 1, piece_id="n1")
    with pytest.raises(Refused, match="only when it is ready"):
        after(NIPPER, TAGGED, Soiled("nipper", "n1"), again)


def test_a_visit_is_closed_once() -> None:
    closed = VisitClosed("v1", Outcome.SERVED)
    with pytest.raises(Refused, match="closed already"):
        after(closed, closed)


@pytest.mark.parametrize(
    ("units", "state"), [(50, "part delivered"), (100, "delivered"), (110, "delivered")]
)
def test_an_order_comes_in_parts_and_may_be_miscounted(units: int, state: str) -> None:
    line = ("board-50", "board", 2, 100, Decimal("12.5"))
    placed = OrderPlaced("o1", "north", DAY.date(), (line,))
    balances = after(placed, DeliveryReceived("o1", "board-50", "board", units))
    order = balances[Key("order", "o1")]
    assert isinstance(order, OrderBalance)
    assert order.state == state
    assert order.lines[0].outstanding == max(0, 100 - units)


def test_opened_lots_come_first_then_the_earliest_use_by_then_the_oldest_name() -> None:
    def made(name: str, use_by: date | None, opened: date | None = None) -> LotBalance:
        return LotBalance(name, "x", 1, 1, use_by, opened)

    late, soon, never = (
        made("a", date(2027, 1, 1)),
        made("b", date(2026, 5, 1)),
        made("c", None),
    )
    opened = made("d", date(2027, 6, 1), date(2026, 3, 1))
    assert first_to_expire((late, soon, never, opened)) == (opened, soon, late, never)


def test_the_ledger_itself_refuses_a_piece_before_its_time_and_keeps_the_later_clock() -> None:
    started = TreatmentStarted("nipper", "n1", Route.IMMERSE, 10, DAY, jar_id="j1")
    wet = (NIPPER, TAGGED, Soiled("nipper", "n1"), Cleaned("nipper", "n1"), started)
    later = ClockRestarted("nipper", "n1", "j1", DAY + timedelta(minutes=5))
    earlier = ClockRestarted("nipper", "n1", "j1", DAY - timedelta(minutes=5))
    assert piece(after(*wet, Treated("nipper", "n1"))).state is PieceState.READY
    assert piece(after(*wet, later, earlier)).ready_at == later.ready_at
    with pytest.raises(Refused, match="before its time"):
        after(*wet, later, Treated("nipper", "n1"))


def test_a_piece_that_starts_anew_lies_nowhere_and_has_no_pouch() -> None:
    started = TreatmentStarted("nipper", "n1", Route.STERILISE, 30, DAY, load_id="load-0001")
    ready = (
        *(NIPPER, TAGGED, Soiled("nipper", "n1"), Cleaned("nipper", "n1"), started),
        *(Treated("nipper", "n1"), Pouched("nipper", "n1", DAY.date())),
    )
    assert (piece(after(*ready)).load_id, piece(after(*ready)).keep_until) == (
        "load-0001",
        DAY.date(),
    )
    back = piece(after(*ready, SentBack("nipper", "n1", "pouch torn", blood_level=True)))
    assert (back.state, back.load_id, back.keep_until) == (PieceState.SOILED, "", None)
    assert back.blood_level
