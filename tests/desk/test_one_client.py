"""One client, for certain: by no path does a unit, a surface or a kit serve a second client."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from small_shop import CATALOGUE, SHELF, solid

from consumables.desk.bringing_in import refuse_looser
from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit, name_pieces, set_quantity
from consumables.desk.loosening import back_to_the_book, loosen
from consumables.desk.opening import Desk
from consumables.desk.restoring import put_copy_in_place, take_over_copy
from consumables.desk.shelving import count, lots_of, shelf
from consumables.desk.tagging import tag, tags
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.verdicts import tighten, use_book
from consumables.desk.washing import retire, wash_list
from consumables.errors import Refused
from consumables.ledger.events import PieceTagged
from consumables.store.shop_store import ShopStore
from consumables.words import PieceState, Route

Book = Callable[..., str]


def held(desk: Desk, item_id: str) -> int:
    return sum(lot.on_hand for lot in lots_of(desk, item_id))


# --- by a correction ---------------------------------------------------------------------------


def test_what_an_undone_visit_drew_does_not_come_back(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    receipt = undo(desk)
    assert held(desk, "board") == 56
    assert "1 board stay out" in receipt.bin
    assert {p.piece_id: p.state for p in wash_list(desk)} == {"nipper-01": PieceState.SOILED}
    assert check(desk) == []


def test_a_piece_retired_by_mistake_comes_back(desk: Desk) -> None:
    retire(desk, "nipper-01", "wrong tray")
    undo(desk)
    states = {p.piece_id: p.state for p in wash_list(desk, everything=True)}
    assert states["nipper-01"] is PieceState.READY


def test_a_correction_does_not_forget_blood(desk: Desk, visit: Book) -> None:
    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    undo(desk)
    assert [(p.piece_id, p.blood_level) for p in wash_list(desk)] == [("nipper-01", True)]


def test_a_core_used_without_a_fresh_surface_is_washed_after_a_correction_too(
    desk: Desk, visit: Book
) -> None:
    card = card_for(desk, visit("pedicure"))
    strip = next(i for i, line in enumerate(card.lines) if line.item_id == "strip")
    close_visit(desk, set_quantity(card, strip, 0), already_done=True)
    undo(desk)
    assert [p.piece_id for p in wash_list(desk)] == ["core-01"]


# --- by a count --------------------------------------------------------------------------------


def test_units_found_by_a_count_are_held_back_until_somebody_says_they_are_new(
    desk: Desk, visit: Book
) -> None:
    count(desk, "strip", 0)
    count(desk, "strip", 3)
    with pytest.raises(Refused, match="0 in date"):
        close_visit(desk, card_for(desk, visit("pedicure")))
    (flag,) = flagged(desk)
    settle(desk, [flag.entry_id], "a parcel of 9 March was not written down", as_new=True)
    assert held(desk, "strip") == 3
    close_visit(desk, card_for(desk, "v1"))


def test_a_surplus_that_is_not_called_new_never_reaches_the_shelf(desk: Desk) -> None:
    count(desk, "board", 60)
    (flag,) = flagged(desk)
    settle(desk, [flag.entry_id], "used boards lay in the drawer, binned")
    assert held(desk, "board") == 57


def test_a_use_cannot_be_called_new(desk: Desk, visit: Book) -> None:
    count(desk, "strip", 0)
    close_visit(desk, card_for(desk, visit("pedicure")), already_done=True)
    (flag,) = flagged(desk)
    with pytest.raises(Refused, match="a use was a use"):
        settle(desk, [flag.entry_id], "no", as_new=True)


def test_a_bottle_that_holds_more_than_reckoned_is_no_reuse(desk: Desk) -> None:
    count(desk, "acetone", 510)
    assert held(desk, "acetone") == 510
    assert flagged(desk) == []


# --- by a copy put back ------------------------------------------------------------------------


def older_copy(desk: Desk, tmp_path: Path, visit: Book) -> Desk:
    """A visit is closed after the copy was made; then the copy is laid over the shop."""
    desk.store.backup(tmp_path / "copy.db")
    close_visit(desk, card_for(desk, visit("manicure")))
    path = desk.store.location
    desk.store.close()
    for ending in ("", "-wal", "-shm"):
        Path(path + ending).unlink(missing_ok=True)
    shutil.copy(tmp_path / "copy.db", path)
    return Desk(ShopStore(path), "AB", desk.clock)


def test_an_older_copy_is_noticed_before_it_can_be_drawn_from(
    desk: Desk, visit: Book, tmp_path: Path
) -> None:
    older = older_copy(desk, tmp_path, visit)
    assert held(older, "board") == 57  # the board of the lost visit looks unused again
    with pytest.raises(Refused, match="older copy"):
        count(older, "board", 57)


def state_of(desk: Desk, item_id: str) -> str:
    return next(row.state for row in shelf(desk) if row.item_id == item_id)


def test_after_a_copy_was_put_back_everything_is_counted_and_washed_first(
    desk: Desk, visit: Book, tmp_path: Path
) -> None:
    older = older_copy(desk, tmp_path, visit)
    take_over_copy(older, "the disk failed")
    assert held(older, "board") == 0
    assert {p.state for p in wash_list(older)} == {PieceState.SOILED}
    assert state_of(older, "board") == "count first"
    count(older, "board", 52)
    assert state_of(older, "board") != "count first"
    assert held(older, "board") == 52
    assert check(older) == []


def test_a_copy_is_never_laid_over_a_shop(desk: Desk, tmp_path: Path) -> None:
    desk.store.backup(tmp_path / "copy.db")
    with pytest.raises(Refused, match="still there"):
        put_copy_in_place(tmp_path / "copy.db", Path(desk.store.location))
    put_copy_in_place(tmp_path / "copy.db", tmp_path / "elsewhere" / "shop.db")
    assert check(Desk(ShopStore(str(tmp_path / "elsewhere" / "shop.db")))) == []


# --- by sheets brought in again ------------------------------------------------------------------


def test_a_sheet_cannot_make_an_item_looser(desk: Desk) -> None:
    hard = replace(solid("board", "stainless steel", False, kind="nail file"), immersible=True)
    items = tuple(hard if item.item_id == "board" else item for item in CATALOGUE.items)
    with pytest.raises(Refused, match=r"board \(single-use, now disinfectable\)"):
        refuse_looser(desk, replace(CATALOGUE, items=items))


def test_a_sheet_may_answer_an_open_question(desk: Desk) -> None:
    glass = replace(solid("puzzle", "glass", False, kind="nail file"), immersible=True)
    items = tuple(glass if item.item_id == "puzzle" else item for item in CATALOGUE.items)
    refuse_looser(desk, replace(CATALOGUE, items=items))


# --- by a kit -----------------------------------------------------------------------------------


def test_a_kit_serves_its_own_client_and_no_other(desk: Desk, visit: Book) -> None:
    use_book(desk, "ca-ontario")  # kits by agreement: Perth District nail page
    tag(desk, "board", 1, client="c01")
    other = name_pieces(card_for(desk, visit(visit_id="v1", client="c02")), 0, ["board-01"])
    with pytest.raises(Refused, match="kept for another client"):
        close_visit(desk, other)
    own = name_pieces(card_for(desk, visit(visit_id="v2", client="c01")), 0, ["board-01"])
    close_visit(desk, own)
    states = {p.piece_id: (p.state, p.uses) for p in wash_list(desk)}
    assert states["board-01"] == (PieceState.SOILED, 1)
    assert held(desk, "board") == 56
    (kit, *_) = tags(desk, ["board"])
    assert (kit.category, kit.warning) == ("Only for client c01", "")


def test_a_kit_carries_a_code_and_never_a_name(desk: Desk) -> None:
    use_book(desk, "ca-ontario")
    with pytest.raises(Refused, match="client: Initials or a code"):
        tag(desk, "board", 1, client="Mary Smith")
    assert held(desk, "board") == 57


def test_a_kit_ends_when_the_book_no_longer_allows_it(desk: Desk, visit: Book) -> None:
    use_book(desk, "ca-ontario")
    tag(desk, "board", 1, client="c01")
    use_book(desk, "strict-majority")
    card = name_pieces(card_for(desk, visit(client="c01")), 0, ["board-01"])
    with pytest.raises(Refused, match="may not serve again"):
        close_visit(desk, card)


def test_a_kept_single_use_thing_is_refused_where_no_kit_is_allowed(
    desk: Desk, visit: Book
) -> None:
    with desk.store.writing() as session:
        kept = PieceTagged("board", "board-old", "board-01", ready=True, client="c01")
        session.append(desk.job("test", "."), [kept])
    card = name_pieces(card_for(desk, visit("manicure")), 0, ["board-01"])
    with pytest.raises(Refused, match="may not serve again"):
        close_visit(desk, card)
    close_visit(desk, card, already_done=True)
    assert [flag.item_id for flag in flagged(desk)] == ["board"]


# --- by loosening ---------------------------------------------------------------------------------


def test_loosening_needs_a_citation_and_initials_and_shows_both(desk: Desk) -> None:
    with pytest.raises(Refused, match="initials"):
        loosen(desk, "board", Route.SPRAY, "the board allows it", " ")
    receipt = loosen(desk, "board", Route.SPRAY, "the board allows it", "letter of 2026-02-03")
    verdict = desk.verdicts["board"]
    assert verdict.category == "disinfectable"
    assert "signed AB, 2026-03-04" in verdict.reasons[-1].sentence
    assert any("inspector" in caution for caution in receipt.cautions)


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"do_not_reuse": True}, "do-not-re-use"),
        ({"sharp": True}, "sharps box"),
        ({"dispensed": True}, "never goes back"),
    ],
)
def test_no_citation_loosens_a_mark_a_blade_or_what_is_dispensed(
    desk: Desk, facts: dict[str, bool], why: str
) -> None:
    marked = replace(CATALOGUE.items[0], item_id="marked", **facts)  # type: ignore[arg-type]
    with desk.store.writing() as session:
        session.write_catalogue(replace(CATALOGUE, items=(*CATALOGUE.items, marked)))
    desk.forget()
    with pytest.raises(Refused, match=why):
        loosen(desk, "marked", Route.SPRAY, "please", "letter")


def test_an_item_nobody_described_is_not_loosened(desk: Desk) -> None:
    with pytest.raises(Refused, match="answer the open question"):
        loosen(desk, "puzzle", Route.SPRAY, "please", "letter")


def test_nothing_is_loosened_while_a_piece_of_it_met_blood(desk: Desk, visit: Book) -> None:
    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    tighten(desk, "nipper", "to see")
    with pytest.raises(Refused, match="nipper-01 met blood"):
        loosen(desk, "nipper", Route.IMMERSE, "please", "letter")


def test_blood_bins_a_loosened_porous_thing_all_the_same(desk: Desk, visit: Book) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter of 2026-02-03")
    tag(desk, "board", 1)
    from consumables.desk.washing import clean, take_out, treat

    clean(desk, ["board-01"])
    treat(desk, ["board-01"])
    desk.clock.passes(10)  # type: ignore[attr-defined]
    take_out(desk, ["board-01"])
    card = replace(card_for(desk, visit("manicure")), contaminated=True)
    close_visit(desk, card)
    states = {p.piece_id: p.state for p in wash_list(desk, everything=True)}
    assert states["board-01"] is PieceState.RETIRED


def test_the_book_can_be_given_its_word_back(desk: Desk) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter of 2026-02-03")
    back_to_the_book(desk, "board", "the letter was withdrawn")
    assert desk.verdicts["board"].category == "single-use"
    with pytest.raises(Refused, match="follows its book already"):
        back_to_the_book(desk, "board", "again")
    assert check(desk) == []


def test_the_desk_knows_at_once_what_an_undone_signature_means(desk: Desk) -> None:
    loosen(desk, "board", Route.SPRAY, "the board allows it", "letter of 2026-02-03")
    back_to_the_book(desk, "board", "by mistake")
    undo(desk)
    assert desk.verdicts["board"].category == "disinfectable"
    undo(desk)
    assert desk.verdicts["board"].category == "single-use"
    count(desk, "board", 57)


def test_the_shelf_used_here_holds_no_piece_of_a_board() -> None:
    assert not [e for e in SHELF if isinstance(e, PieceTagged) and e.item_id == "board"]
