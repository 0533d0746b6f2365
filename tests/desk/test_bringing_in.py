"""Files come in whole or not at all, and the same file twice changes nothing."""

import shutil
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from consumables.desk.bringing_in import bring_in_appointments, bring_in_catalogue
from consumables.desk.checking import check
from consumables.desk.history import bring_in_history
from consumables.desk.opening import Desk, open_desk
from consumables.desk.shelving import lots_of, shelf
from consumables.desk.today import visits_on
from consumables.desk.undoing import last_job
from consumables.desk.verdicts import use_book
from consumables.errors import BadFile, Refused

FOLDER = {
    "shop.toml": 'name = "Two tables"\nzone = "Europe/Lisbon"\nrule_book = "strict-majority"\n',
    "items.csv": "item,name,kind,unit,dispensed,immersible\n"
    "board,emery board,emery board,each,,\nnipper,steel nipper,nipper,each,,yes\n"
    "acetone,acetone,,ml,yes,\n",
    "parts.csv": "item,part,material\nboard,body,abrasive on cardboard\n"
    "nipper,body,stainless steel\n",
    "suppliers.csv": "supplier,name,lead_days\nnorth,North,2:0.5 3:0.5\n",
    "offers.csv": "offer,supplier,item,pack_size,price\no1,north,board,50,12.50\n",
    "services.csv": "service,name,minutes\nmanicure,Manicure,45\n",
    "set_ups.csv": "service,item,quantity\nmanicure,board,1\nmanicure,nipper,1\n",
    "calendar_words.csv": "word,service\nnails,manicure\n",
    "opening_stock.csv": "item,lot,quantity,tagged\nboard,a,40,\nnipper,a,2,yes\nacetone,a,500,\n",
}
CALENDAR = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//EN
BEGIN:VEVENT
UID:one
DTSTAMP:20260301T080000Z
CREATED:20260220T080000Z
DTSTART:20260304T110000Z
DTEND:20260304T114500Z
SUMMARY:Nails
DESCRIPTION:client: c01
END:VEVENT
END:VCALENDAR
"""
PAST = {
    "past_visits.csv": "visit,starts_on,services\np1,2026-02-03T10:00,manicure\n"
    "p2,2026-02-04T10:00,manicure\n",
    "past_use.csv": "visit,service,item,quantity\np1,manicure,board,2\np1,manicure,nipper,1\n"
    "p2,manicure,board,1\n",
}


def written(folder: Path, files: dict[str, str]) -> Path:
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text)
    return folder


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Desk]:
    at = datetime(2026, 3, 4, 9, tzinfo=UTC)
    with open_desk(str(tmp_path / "new.db"), "", lambda: at, must_exist=False) as desk:
        yield desk


@pytest.fixture
def begun(empty: Desk, tmp_path: Path) -> Desk:
    bring_in_catalogue(empty, written(tmp_path / "shop", FOLDER))
    return empty


def entries(desk: Desk) -> int:
    with desk.store.reading() as session:
        return len(session.read())


def test_a_folder_makes_a_shop_with_its_shelf_filled(begun: Desk) -> None:
    rows = {row.item_id: (row.on_hand, row.pieces_ready) for row in shelf(begun)}
    assert rows == {"board": (40, 0), "nipper": (0, 2), "acetone": (500, 0)}


def test_the_same_folder_twice_changes_nothing(begun: Desk, tmp_path: Path) -> None:
    before = entries(begun)
    told = bring_in_catalogue(begun, tmp_path / "shop")
    assert "nothing new in the catalogue; 0 lots" in told.sentence
    assert entries(begun) == before


def test_the_book_the_shop_chose_outlives_a_new_catalogue(begun: Desk, tmp_path: Path) -> None:
    use_book(begun, "us-texas")
    bring_in_catalogue(begun, tmp_path / "shop")
    assert begun.book.name == "us-texas"


def test_one_bad_row_refuses_the_whole_folder(empty: Desk, tmp_path: Path) -> None:
    bad = {**FOLDER, "offers.csv": FOLDER["offers.csv"].replace("12.50", "cheap")}
    with pytest.raises(BadFile, match=r"offers\.csv, row 2, column 'price'"):
        bring_in_catalogue(empty, written(tmp_path / "bad", bad))
    with empty.store.reading() as session:
        assert session.settings() is None


def test_a_calendar_fills_the_day_and_a_second_reading_changes_nothing(
    begun: Desk, tmp_path: Path
) -> None:
    path = tmp_path / "book.ics"
    path.write_text(CALENDAR)
    assert "1 new visits" in bring_in_appointments(begun, path).sentence
    assert "1 as before" in bring_in_appointments(begun, path).sentence
    (visit,) = visits_on(begun)
    assert (visit.client, visit.services, visit.state) == ("c01", ("Manicure",), "open")


def test_a_visit_that_left_the_calendar_is_cancelled(begun: Desk, tmp_path: Path) -> None:
    path = tmp_path / "book.ics"
    path.write_text(CALENDAR)
    bring_in_appointments(begun, path)
    path.write_text(CALENDAR.replace("UID:one", "UID:two"))
    assert "1 cancelled" in bring_in_appointments(begun, path).sentence


def test_a_past_without_deliveries_teaches_and_leaves_the_counted_shelf_alone(
    begun: Desk, tmp_path: Path
) -> None:
    bring_in_history(begun, written(tmp_path / "past", PAST))
    assert sum(lot.on_hand for lot in lots_of(begun, "board")) == 40
    with begun.store.reading() as session:
        usage = session.frames("Europe/Lisbon", begun.clock()).usage
    assert usage.groupby("item")["quantity"].sum().to_dict() == {"board": 3, "nipper": 1}
    assert check(begun) == []


def test_a_past_with_deliveries_fills_and_empties_the_shelf(begun: Desk, tmp_path: Path) -> None:
    deliveries = "arrived_on,item,quantity,use_by\n2026-02-04,board,50,2027-01-01\n"
    bring_in_history(begun, written(tmp_path / "past", {**PAST, "past_deliveries.csv": deliveries}))
    assert sum(lot.on_hand for lot in lots_of(begun, "board")) == 40 + 50 - 3
    assert {row.uses for row in shelf(begun) if row.item_id == "nipper"} == {1}
    assert check(begun) == []


def test_a_past_comes_in_once(begun: Desk, tmp_path: Path) -> None:
    folder = written(tmp_path / "past", PAST)
    bring_in_history(begun, folder)
    before = entries(begun)
    with pytest.raises(Refused, match="brought in before"):
        bring_in_history(begun, folder)
    assert entries(begun) == before


def test_what_came_in_from_files_is_not_undone_by_a_slip_of_the_finger(
    begun: Desk, tmp_path: Path
) -> None:
    bring_in_history(begun, written(tmp_path / "past", PAST))
    assert last_job(begun) is None


def test_the_demo_shop_opens_with_a_today(tmp_path: Path) -> None:
    from consumables.desk.demo import prepare

    with open_desk(prepare(tmp_path)) as desk:
        assert visits_on(desk, date.today())
        assert check(desk) == []
    shutil.rmtree(tmp_path / "files")
