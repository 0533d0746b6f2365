"""Somebody tries to get a used thing onto a second client, by every way there is to try."""

import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from small_shop import CATALOGUE, NOON, Clock, put_in_book, solid

from consumables.closeout.service_card import ServiceCard
from consumables.desk import bringing_in, delivering, jars, retention, washing
from consumables.desk.checking import check
from consumables.desk.closing import add_item, card_for, close_visit, name_pieces, set_quantity
from consumables.desk.loosening import back_to_the_book, loosen
from consumables.desk.opening import Desk, open_desk
from consumables.desk.restoring import take_over_copy
from consumables.desk.shelving import count, lots_of
from consumables.desk.tagging import tag
from consumables.desk.today import walk_in
from consumables.desk.undoing import flagged, undo
from consumables.desk.verdicts import tighten, use_book
from consumables.errors import Refused
from consumables.items.catalogue import OpeningStock
from consumables.items.item import Item, Part
from consumables.ledger.events import LotReceived, PieceTagged
from consumables.store.shop_store import ShopStore
from consumables.words import Category, Outcome, PieceState, Route, Unit

Book = Callable[..., str]


def held(desk: Desk, item_id: str) -> int:
    return sum(lot.on_hand for lot in lots_of(desk, item_id))


def piece(desk: Desk, piece_id: str) -> washing.WashPiece:
    every = washing.wash_list(desk, everything=True)
    return next(found for found in every if found.piece_id == piece_id)


def line_of(card: ServiceCard, item_id: str) -> int:
    return [line.item_id for line in card.lines].index(item_id)


def sheets(desk: Desk, *items: Item) -> None:
    """A catalogue is brought in again in which these items are described anew."""
    new = {item.item_id: item for item in items}
    kept = tuple(new.pop(item.item_id, item) for item in desk.catalogue.items)
    told = replace(CATALOGUE, items=(*kept, *new.values()))
    bringing_in.refuse_looser(desk, told)
    with desk.store.writing() as session:
        session.write_catalogue(replace(told, settings=desk.settings))
    desk.forget()


def beside(desk: Desk, who: str = "CD") -> Desk:
    """A second desk on the same shop, which has read its catalogue already."""
    other = Desk(ShopStore(desk.store.location), who, desk.clock)
    assert other.verdicts
    return other


def put_back(desk: Desk, copy: Path) -> Desk:
    desk.store.close()
    for ending in ("", "-wal", "-shm"):
        Path(desk.store.location + ending).unlink(missing_ok=True)
    shutil.copy(copy, desk.store.location)
    return Desk(ShopStore(desk.store.location), "AB", desk.clock)


# --- two desks at once ---------------------------------------------------------------------------


def test_a_desk_that_read_the_verdicts_earlier_still_keeps_to_a_stricter_one(
    desk: Desk, visit: Book
) -> None:
    other = beside(desk)
    tighten(desk, "nipper", "the shop wants new ones")
    card = card_for(other, visit("manicure"))
    card = name_pieces(card, line_of(card, "nipper"), ["nipper-01"])
    with pytest.raises(Refused, match="may not serve again"):
        close_visit(other, card)


def test_a_job_begun_under_an_older_verdict_is_asked_to_look_again(desk: Desk) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter")
    other = beside(desk)
    back_to_the_book(desk, "board", "withdrawn")
    with pytest.raises(Refused, match="Another desk changed"):
        tag(other, "board", 1)
    with pytest.raises(Refused, match="never kept"):
        tag(other, "board", 1)


def test_a_second_desk_does_not_bring_an_older_book_back(desk: Desk) -> None:
    other = beside(desk)
    sheets(desk, solid("comb", "hard plastic", False, immersible=True))
    use_book(other, "us-texas")
    assert "comb" in other.items
    assert beside(desk).book.name == "us-texas"


_CLOSE_ALL = """
import sys
from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import open_desk
from consumables.desk.today import walk_in
from consumables.errors import DeskProblem
with open_desk(sys.argv[1], sys.argv[2]) as desk:
    for _ in range(int(sys.argv[3])):
        visit = walk_in(desk, ["strips"])
        try:
            close_visit(desk, card_for(desk, visit), job_key="key-" + visit)
            print(visit, flush=True)
        except DeskProblem:
            pass
"""


def strips_only(desk: Desk) -> None:
    """A service that takes one strip and nothing else."""
    strip, kept = CATALOGUE.set_ups[0], CATALOGUE.services[0]
    with desk.store.writing() as session:
        told = replace(
            CATALOGUE,
            services=(*CATALOGUE.services, replace(kept, service_id="strips")),
            set_ups=(*CATALOGUE.set_ups, replace(strip, service_id="strips", item_id="strip")),
        )
        session.write_catalogue(told)


def test_the_last_five_strips_serve_five_visits_at_two_desks(desk: Desk) -> None:
    strips_only(desk)
    command = [sys.executable, "-c", _CLOSE_ALL, desk.store.location]
    both = [
        subprocess.Popen([*command, who, "8"], stdout=subprocess.PIPE, text=True)
        for who in ("AB", "CD")
    ]
    served = [visit for one in both for visit in one.communicate(timeout=60)[0].split()]
    assert len(served) == 5
    assert held(desk, "strip") == 0
    assert check(desk) == []


@pytest.mark.slow
def test_a_desk_killed_at_any_moment_loses_nothing_it_had_told(desk: Desk) -> None:
    strips_only(desk)
    for number in range(6):
        with desk.store.writing() as session:
            lot = LotReceived("strip", f"strips-{number}", 500)
            session.append(desk.job("receive", "."), [lot])
        command = [sys.executable, "-c", _CLOSE_ALL, desk.store.location, "AB", "400"]
        one = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert one.stdout is not None
        told = [one.stdout.readline().strip()]
        time.sleep(0.05 * number)
        one.send_signal(signal.SIGKILL)
        told += one.stdout.read().split("\n")[:-1]
        one.wait(timeout=10)
        with desk.store.reading() as session:
            assert all(session.find_job(f"key-{visit}") for visit in told)
        assert check(desk) == []
        assert desk.store.missing_from is None


# --- sheets brought in again ---------------------------------------------------------------------


def test_no_sheet_takes_a_do_not_reuse_mark_away(desk: Desk) -> None:
    board = desk.item("board")
    sheets(desk, replace(board, do_not_reuse=True))
    with pytest.raises(Refused, match="its do-not-re-use mark"):
        sheets(desk, board)


@pytest.mark.parametrize("mark", ["do_not_reuse", "sharp"])
def test_a_mark_found_later_outranks_a_signature(desk: Desk, mark: str) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter")
    sheets(desk, replace(desk.item("board"), **{mark: True}))
    assert desk.verdicts["board"].category is Category.SINGLE_USE


def test_a_signature_does_not_weaken_a_book_that_keeps_the_item_anyway(desk: Desk) -> None:
    tool = solid("tool", "stainless steel", False, kind="nipper", immersible=True)
    sheets(desk, replace(tool, do_not_reuse=False))
    tighten(desk, "tool", "to see")
    loosen(desk, "tool", Route.WIPE, "as we like", "letter")
    back_to_the_book(desk, "tool", "no")
    assert desk.verdicts["tool"].route is Route.IMMERSE


def test_what_is_settled_is_not_made_a_question_and_answered_more_kindly(desk: Desk) -> None:
    thing = Item("thing", "thing", parts=(Part("body", "cork", True),))
    sheets(desk, thing)
    assert not desk.verdicts["thing"].questions
    with pytest.raises(Refused, match="looser than before"):
        sheets(desk, replace(thing, parts=(Part("body", "not known"),)))


def test_a_core_does_not_lose_its_surface_by_a_sheet(desk: Desk) -> None:
    core = desk.item("core")
    bare = replace(core.parts[1], supplied_as="")
    with pytest.raises(Refused, match="supplied_as"):
        sheets(desk, replace(core, parts=(core.parts[0], bare)))


@pytest.mark.parametrize(
    ("change", "why"), [({"unit": Unit.GRAM}, "its unit"), ({"dispensed": True}, "is dispensed")]
)
def test_a_sheet_does_not_turn_pieces_into_something_poured(
    desk: Desk, change: dict[str, object], why: str
) -> None:
    with pytest.raises(Refused, match=why):
        sheets(desk, replace(desk.item("board"), **change))  # type: ignore[arg-type]


def test_a_file_with_two_surfaces_takes_two_fresh_ones(desk: Desk, visit: Book) -> None:
    core = desk.item("core")
    second = replace(core.parts[1], name="surface below")
    sheets(desk, replace(core, parts=(*core.parts, second)))
    close_visit(desk, card_for(desk, visit("pedicure")))
    assert held(desk, "strip") == 3


def test_opening_stock_puts_no_single_use_thing_into_rotation(desk: Desk) -> None:
    lot = OpeningStock("board", "drawer", 3, tagged=True)
    told = replace(CATALOGUE, opening_stock=(lot,))
    with (
        pytest.raises(Refused, match="single-use and never"),
        desk.store.writing() as session,
    ):
        bringing_in.open_the_shelf(desk, session, told)


# --- counts --------------------------------------------------------------------------------------


def test_a_count_while_an_item_is_loosened_puts_nothing_back_for_later(desk: Desk) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter")
    count(desk, "board", 100)
    back_to_the_book(desk, "board", "withdrawn")
    assert held(desk, "board") == 57


def test_a_count_under_a_lenient_book_puts_nothing_back_for_a_strict_one(desk: Desk) -> None:
    count(desk, "nipper", 9)
    tighten(desk, "nipper", "new ones for each client")
    assert held(desk, "nipper") == 1


def test_what_was_used_although_it_never_came_is_held_back_when_it_is_found(
    desk: Desk, visit: Book
) -> None:
    card = add_item(desk, card_for(desk, visit("manicure")), "puzzle", 1)
    close_visit(desk, card, already_done=True)
    count(desk, "puzzle", 1)
    assert held(desk, "puzzle") == 0
    assert [flag.because for flag in flagged(desk)] == ["found 1 more than the ledger says"]


# --- an older copy put back ----------------------------------------------------------------------


def test_a_copy_from_a_looser_day_is_counted_too(desk: Desk, visit: Book, tmp_path: Path) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter")
    desk.store.backup(tmp_path / "copy.db")
    back_to_the_book(desk, "board", "withdrawn")
    close_visit(desk, card_for(desk, visit("manicure")))
    older = put_back(desk, tmp_path / "copy.db")
    take_over_copy(older, "the disk failed")
    back_to_the_book(older, "board", "withdrawn")
    assert held(older, "board") == 0


def test_blood_met_after_the_copy_was_made_is_not_forgotten(
    desk: Desk, visit: Book, tmp_path: Path
) -> None:
    desk.store.backup(tmp_path / "copy.db")
    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    older = put_back(desk, tmp_path / "copy.db")
    take_over_copy(older, "the disk failed")
    washing.clean(older, ["nipper-01"])
    count(older, "concentrate", 500)
    jars.mix_jar(older, "concentrate", 500, 64)
    with pytest.raises(Refused, match="blood-level"):
        washing.treat(older, ["nipper-01"])


def test_a_slower_desk_does_not_hide_an_older_copy(desk: Desk, visit: Book, tmp_path: Path) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    desk.store.backup(tmp_path / "copy.db")
    slower = ShopStore(desk.store.location)
    with desk.store.reading() as session:
        before = session.read()[-1].entry_id
    count(desk, "board", 10)
    slower._newest.note(before)
    older = put_back(desk, tmp_path / "copy.db")
    assert older.store.missing_from == before + 1


def test_after_a_copy_was_taken_over_the_work_goes_on(
    desk: Desk, visit: Book, tmp_path: Path
) -> None:
    desk.store.backup(tmp_path / "copy.db")
    for number in range(60):
        count(desk, "board", number)
    older = put_back(desk, tmp_path / "copy.db")
    take_over_copy(older, "the disk failed")
    count(older, "board", 5)
    assert held(older, "board") == 5


def test_an_older_copy_is_noticed_whichever_way_the_shop_is_named(
    desk: Desk, tmp_path: Path
) -> None:
    desk.store.backup(tmp_path / "copy.db")
    count(desk, "board", 10)
    put_back(desk, tmp_path / "copy.db")
    assert ShopStore(f"sqlite:///{desk.store.location}").missing_from is not None


# --- blood ---------------------------------------------------------------------------------------


def test_a_card_closed_again_with_blood_reaches_the_pieces_of_the_first_one(
    desk: Desk, visit: Book
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    undo(desk)
    close_visit(desk, replace(card_for(desk, "v1"), contaminated=True))
    assert {piece(desk, name).blood_level for name in ("nipper-01", "nipper-02")} == {True}
    assert check(desk) == []


def test_blood_bins_a_loosened_thing_of_any_material(desk: Desk, visit: Book, clock: Clock) -> None:
    loosen(desk, "gloves", Route.WIPE, "as we like", "letter")
    pair = ["gloves-01", "gloves-02"]
    tag(desk, "gloves", 2)
    washing.clean(desk, pair)
    washing.treat(desk, pair)
    clock.passes(10)
    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    assert {piece(desk, name).state for name in pair} == {PieceState.RETIRED}


# --- what a book bans, and what was used all the same --------------------------------------------


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize(
    ("blood", "state"), [(False, PieceState.SOILED), (True, PieceState.RETIRED)]
)
def test_a_banned_piece_that_served_is_not_ready_when_another_book_allows_it(
    desk: Desk, visit: Book, named: bool, blood: bool, state: PieceState
) -> None:
    use_book(desk, "us-california")
    rasp = solid("rasp", "stainless steel", False, kind="callus blade", immersible=True)
    sheets(desk, rasp)
    with desk.store.writing() as session:
        lot = LotReceived("rasp", "rasp-lot", 1)
        tagged = PieceTagged("rasp", "rasp-lot", "rasp-01", ready=True)
        session.append(desk.job("test", "."), [lot, tagged])
    use_book(desk, "strict-majority")
    card = add_item(desk, card_for(desk, visit("manicure")), "rasp", 1)
    if named:
        card = name_pieces(card, line_of(card, "rasp"), ["rasp-01"])
    card = replace(card, contaminated=blood)
    with pytest.raises(Refused, match="Banned"):
        close_visit(desk, card)
    close_visit(desk, card, already_done=True)
    use_book(desk, "us-california")
    assert piece(desk, "rasp-01").state is state
    assert [flag.quantity for flag in flagged(desk)] == [1]


def test_a_kept_piece_that_stood_in_for_a_new_one_is_washed(desk: Desk, visit: Book) -> None:
    tighten(desk, "nipper", "new ones for each client")
    count(desk, "nipper", 0)
    close_visit(desk, card_for(desk, visit("manicure")), already_done=True)
    back_to_the_book(desk, "nipper", "too dear")
    assert piece(desk, "nipper-01").state is PieceState.SOILED


def test_every_unit_of_a_line_is_told_when_only_some_are_named(desk: Desk, visit: Book) -> None:
    card = card_for(desk, visit("manicure"))
    card = name_pieces(card, line_of(card, "nipper"), ["nipper-09"])
    card = set_quantity(card, line_of(card, "nipper"), 3)
    card = name_pieces(card, line_of(card, "board"), ["board-01"])
    card = set_quantity(card, line_of(card, "board"), 5)
    close_visit(desk, card, already_done=True)
    told = Counter[str]()
    for flag in flagged(desk):
        told[flag.item_id] += flag.quantity
    assert told == {"nipper": 3, "board": 1}
    assert held(desk, "board") == 53


# --- the wash-up and the clock -------------------------------------------------------------------


@pytest.mark.parametrize("zone", ["America/New_York", "Europe/Berlin"])
@pytest.mark.parametrize("day", ["2026-11-01", "2026-10-25", "2026-03-08", "2026-03-29"])
def test_the_contact_time_runs_whole_in_the_night_the_clocks_change(
    desk: Desk, clock: Clock, zone: str, day: str
) -> None:
    with desk.store.writing() as session:
        session.write_settings(replace(desk.settings, zone=zone))
    desk.forget()
    clock.at = datetime.fromisoformat(f"{day}T00:00").replace(tzinfo=UTC)
    for _ in range(9):
        clock.passes(52)
        jars.mix_jar(desk, "concentrate", 130, 64)
        washing.wash_again(desk, ["nipper-01"], "dropped")
        washing.clean(desk, ["nipper-01"])
        washing.treat(desk, ["nipper-01"])
        clock.passes(9)
        with pytest.raises(Refused, match="must stay wet"):
            washing.take_out(desk, ["nipper-01"])
        clock.passes(1)
        washing.take_out(desk, ["nipper-01"])
    assert check(desk) == []


def test_a_clock_that_goes_back_makes_nothing_ready_sooner(desk: Desk, clock: Clock) -> None:
    jars.mix_jar(desk, "concentrate", 500, 64)
    washing.wash_again(desk, ["nipper-01"], "dropped")
    washing.clean(desk, ["nipper-01"])
    washing.treat(desk, ["nipper-01"])
    clock.passes(-120)
    with pytest.raises(Refused, match="must stay wet 130"):
        washing.take_out(desk, ["nipper-01"])


def test_a_new_tool_is_washed_before_its_only_client_too(desk: Desk) -> None:
    tag(desk, "nipper", 1, client="c01")
    assert piece(desk, "nipper-03").state is PieceState.SOILED


def test_a_tag_that_was_undone_leaves_no_shop_without_tags(desk: Desk) -> None:
    delivering.receive_unordered(desk, "board", 5)
    with desk.store.writing() as session:
        session.append(desk.job("test", "."), [LotReceived("nipper", "more", 5)])
    first = tag(desk, "nipper", 1)
    tag(desk, "nipper", 1)
    undo(desk, first.job_key)
    tag(desk, "nipper", 2)
    delivering.receive_unordered(desk, "nipper", 3)
    names = [p.piece_id for p in washing.wash_list(desk, True) if p.item_id == "nipper"]
    assert len(set(names)) == 8
    assert check(desk) == []


# --- numbers, keys, the ledger itself ------------------------------------------------------------


@pytest.mark.parametrize("number", [0, -1, -3])
def test_less_than_one_is_neither_used_nor_tagged(desk: Desk, visit: Book, number: int) -> None:
    card = card_for(desk, visit("manicure"))
    close_visit(desk, add_item(desk, card, "strip", number))
    assert held(desk, "strip") == 5
    with pytest.raises(Refused, match="at least 1"):
        tag(desk, "nipper", number)


def test_a_price_without_an_end_leaves_balances_and_ledger_agreed(desk: Desk) -> None:
    delivering.receive_unordered(desk, "board", 3, unit_cost=Decimal(10) / 3)
    assert check(desk) == []


def test_a_key_used_for_another_visit_does_not_swallow_this_one(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit(visit_id="v1")), job_key="k")
    with pytest.raises(Refused, match="used for another job"):
        close_visit(desk, card_for(desk, visit(visit_id="v2")), job_key="k")


def test_a_key_sent_again_after_an_undo_closes_nothing(desk: Desk, visit: Book) -> None:
    card = card_for(desk, visit("manicure"))
    close_visit(desk, card, job_key="k")
    undo(desk)
    assert close_visit(desk, card, job_key="k").again
    assert held(desk, "board") == 56


@pytest.mark.parametrize("number", [-5, 0, 2])
def test_no_entry_is_slipped_in_before_the_last_one(desk: Desk, number: int) -> None:
    forged = (
        "INSERT INTO entry (shop_id, entry_id, at, who, job_key, kind, body) "
        f"SELECT shop_id, {number}, at, who, job_key, kind, body FROM entry LIMIT 1"
    )
    with sqlite3.connect(desk.store.location) as raw, pytest.raises(sqlite3.IntegrityError):
        raw.execute(forged)


def test_a_failed_statement_says_nothing_of_a_client(desk: Desk) -> None:
    visit_id = walk_in(desk, ["manicure"], client="ZQX7")
    with desk.store.reading() as session:
        found = session.appointment(visit_id)
    assert found is not None
    broken = [replace(found, sequence=object())]  # type: ignore[arg-type]
    with (
        pytest.raises(Exception, match="sequence|parameter") as trouble,
        desk.store.writing() as session,
    ):
        session.write_appointments(broken, "test")
    told = [trouble.value, trouble.value.__cause__, trouble.value.__context__]
    assert not any("ZQX7" in str(one) for one in told)


def test_a_purged_code_is_nowhere_in_the_file(desk: Desk, clock: Clock) -> None:
    visit_id = walk_in(desk, ["manicure"], client="ZQX7")
    close_visit(desk, card_for(desk, visit_id))
    undo(desk)
    close_visit(desk, card_for(desk, visit_id), already_done=True)
    put_in_book(desk, "later", ("manicure",), client="ZQX8")
    clock.at = NOON.replace(year=2031)
    retention.purge(desk)
    desk.store.close()
    place = Path(desk.store.location)
    for file in place.parent.glob(place.name + "*"):
        assert b"ZQX" not in file.read_bytes()


def test_a_visit_that_a_calendar_tells_again_stays_closed(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    put_in_book(desk, "v1", ("manicure", "pedicure"), client="c02")
    assert close_visit(desk, card_for(desk, "v1"), already_done=True).again
    with desk.store.reading() as session:
        closed = [e for e in session.read(visit_id="v1") if hasattr(e.event, "outcome")]
    assert [entry.event.outcome for entry in closed] == [Outcome.SERVED]


def test_a_shop_opened_anew_knows_what_the_last_desk_did(tmp_path: Path, desk: Desk) -> None:
    count(desk, "board", 7)
    with open_desk(desk.store.location, "CD", desk.clock) as again:
        assert held(again, "board") == 7
