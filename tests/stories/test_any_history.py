"""Whatever happens, in whatever sequence: one unit serves one visit, nothing falls below nothing,
and the balances are what the ledger adds up to.

The units on the shelf are followed here one by one, in a way that shares no code with the store.
"""

import tempfile
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from small_shop import SHELF, Clock, fill, put_in_book

from consumables.desk import jars, shelving, tagging, washing
from consumables.desk.checking import check
from consumables.desk.closing import (
    add_item,
    card_for,
    close_visit,
    name_pieces,
    no_show,
    set_quantity,
)
from consumables.desk.loosening import back_to_the_book, loosen
from consumables.desk.opening import open_desk
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.verdicts import use_book
from consumables.errors import DeskProblem
from consumables.ledger.events import Entry, LotReceived, StockCounted, Treated, UseRecorded
from consumables.words import Route

COUNTED = ("board", "strip", "gloves", "acetone")


class AnyHistory(RuleBasedStateMachine):
    """A desk at which anything may be tried."""

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        folder = self.stack.enter_context(tempfile.TemporaryDirectory())
        self.clock = Clock()
        self.desk = self.stack.enter_context(
            open_desk(str(Path(folder) / "shop.db"), "AB", self.clock, must_exist=False)
        )
        fill(self.desk)
        self.units = {
            lot.lot_id: lot.quantity
            for lot in SHELF
            if isinstance(lot, LotReceived) and lot.item_id in COUNTED
        }
        self.visits = 0
        self.closed: dict[str, str] = {}

    def teardown(self) -> None:
        self.stack.close()

    @rule(
        services=st.lists(st.sampled_from(["manicure", "pedicure"]), min_size=1, max_size=2),
        boards=st.integers(0, 30),
        extra=st.sampled_from(["", "strip", "acetone", "puzzle"]),
        blood=st.booleans(),
        already=st.booleans(),
        piece=st.sampled_from(["", "nipper-01", "nipper-02", "nipper-09"]),
    )
    def a_service_ends(
        self, services: list[str], boards: int, extra: str, blood: bool, already: bool, piece: str
    ) -> None:
        self.visits += 1
        visit_id = f"v{self.visits}"
        put_in_book(self.desk, visit_id, tuple(dict.fromkeys(services)))
        card = replace(card_for(self.desk, visit_id), contaminated=blood)
        named = {line.item_id: at for at, line in enumerate(card.lines)}
        if "board" in named:
            card = set_quantity(card, named["board"], boards)
        if piece and "nipper" in named:
            card = name_pieces(card, named["nipper"], [piece])
        if extra:
            card = add_item(self.desk, card, extra, 1)
        try:
            receipt = close_visit(self.desk, card, already_done=already)
        except DeskProblem:
            assert not already, "what was already done must always be recordable"
            return
        self.closed[visit_id] = receipt.job_key
        again = close_visit(self.desk, card, already_done=already)
        assert again.again

    @rule()
    def a_client_does_not_come(self) -> None:
        self.visits += 1
        put_in_book(self.desk, f"v{self.visits}", ("manicure",))
        no_show(self.desk, f"v{self.visits}")

    @rule(not_used=st.booleans())
    def the_last_job_is_undone(self, not_used: bool) -> None:
        self._try(lambda: undo(self.desk, not_used=not_used))

    @rule(item=st.sampled_from(COUNTED), counted=st.integers(0, 60))
    def somebody_counts(self, item: str, counted: int) -> None:
        shelving.count(self.desk, item, counted)

    @rule(units=st.integers(1, 5))
    def something_is_thrown_away(self, units: int) -> None:
        self._try(lambda: shelving.discard(self.desk, "board", "board-old", units, "dropped"))

    @rule(minutes=st.integers(0, 20))
    def everything_is_washed_as_far_as_it_goes(self, minutes: int) -> None:
        self._try(lambda: jars.mix_jar(self.desk, "concentrate", 500, 64))
        steps = {"clean": washing.clean, "take out": washing.take_out}
        for piece in washing.wash_list(self.desk):
            if piece.next_step == "treat":
                washing.treat(self.desk, [piece.piece_id], piece.blood_level)
            elif piece.next_step in steps:
                steps[piece.next_step](self.desk, [piece.piece_id])
        self.clock.passes(minutes)

    @precondition(lambda self: self.visits)
    @rule()
    def a_piece_is_retired(self) -> None:
        self._try(lambda: washing.retire(self.desk, "nipper-02", "rust"))

    @rule(book=st.sampled_from(["strict-majority", "us-texas", "ca-ontario"]))
    def another_book_comes_into_force(self, book: str) -> None:
        use_book(self.desk, book)

    @rule(item=st.sampled_from(["board", "strip", "nipper"]))
    def something_is_loosened_or_given_back(self, item: str) -> None:
        self._try(lambda: loosen(self.desk, item, Route.SPRAY, "allowed", "letter"))
        self._try(lambda: tagging.tag(self.desk, item, 1))

    @rule(item=st.sampled_from(["board", "strip", "nipper"]))
    def the_book_speaks_again(self, item: str) -> None:
        self._try(lambda: back_to_the_book(self.desk, item, "withdrawn"))

    @rule(client=st.sampled_from(["c01", "c02"]))
    def a_kit_is_kept_for_a_client(self, client: str) -> None:
        self._try(lambda: tagging.tag(self.desk, "board", 1, client))

    @rule(as_new=st.booleans())
    def a_flag_is_settled(self, as_new: bool) -> None:
        if numbers := [flag.entry_id for flag in flagged(self.desk)][:1]:
            self._try(lambda: settle(self.desk, numbers, "looked into", as_new))

    @invariant()
    def no_piece_goes_from_client_to_client_unwashed(self) -> None:
        with self.desk.store.reading() as session:
            entries, undone = session.read(), session.reversed_ids()
        met: dict[str, str] = {}
        for entry in entries:
            event = entry.event
            if entry.entry_id in undone:
                continue
            if isinstance(event, Treated):
                met.pop(event.piece_id, None)
            elif isinstance(event, UseRecorded) and event.piece_id:
                assert met.setdefault(event.piece_id, event.visit_id) == event.visit_id

    @invariant()
    def the_balances_are_the_fold(self) -> None:
        assert check(self.desk) == []

    @invariant()
    def every_unit_served_one_visit_and_none_came_from_nowhere(self) -> None:
        with self.desk.store.reading() as session:
            entries, undone = session.read(), session.reversed_ids()
            on_hand = {lot.lot_id: lot.on_hand for lot in session.lots()}
        drawn: dict[str, int] = {}
        for entry in entries:
            event = entry.event
            if isinstance(event, UseRecorded) and event.lot_id and entry.entry_id not in undone:
                drawn[event.lot_id] = drawn.get(event.lot_id, 0) + event.quantity
        found = _surplus_seen(entries, undone)
        for lot, received in self.units.items():
            assert drawn.get(lot, 0) + on_hand.get(lot, 0) <= received + found.get(lot, 0)
            assert on_hand.get(lot, 0) >= 0

    @invariant()
    def no_piece_is_ready_that_met_blood(self) -> None:
        for piece in washing.wash_list(self.desk, everything=True):
            assert not (piece.state == "ready" and piece.blood_level)

    def _try(self, job: Callable[[], object]) -> None:
        with suppress(DeskProblem):
            job()


def _surplus_seen(entries: list[Entry], undone: set[int]) -> dict[str, int]:
    """What counts found beyond the ledger: the only way a lot may ever grow."""
    found: dict[str, int] = {}
    for entry in entries:
        seen = entry.event
        if isinstance(seen, StockCounted) and entry.entry_id not in undone:
            surplus = max(0, seen.counted - seen.expected)
            found[seen.lot_id] = found.get(seen.lot_id, 0) + surplus
    return found


TestAnyHistory = AnyHistory.TestCase
TestAnyHistory.settings = settings(
    max_examples=15,
    stateful_step_count=15,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


class LongHistory(AnyHistory):
    """The same desk, far longer."""


TestLongHistory = pytest.mark.slow(LongHistory.TestCase)
TestLongHistory.settings = settings(
    max_examples=120,
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
