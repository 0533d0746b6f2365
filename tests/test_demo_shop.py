"""The invented studio must hold together: its sheets, its half year, and its copy for any day."""

import csv
import importlib.util
import re
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest

SHOP = Path(__file__).parent.parent / "demo_shop"
ANCHOR = date(2026, 6, 28)
TODAYS = (
    ANCHOR, ANCHOR - timedelta(days=6), ANCHOR + timedelta(days=1),
    date(2024, 2, 29), date(2025, 10, 26), date(2026, 11, 25), date(2027, 1, 1),
    date(2027, 3, 28), date(2027, 5, 4), date(2027, 5, 6), date(2027, 5, 8), date(2031, 12, 31),
)  # fmt: skip
CLOCKS_CHANGE = (date(2025, 10, 26), date(2027, 3, 28))  # two Sundays among the todays
HISTORY = ("past_visits", "past_use", "past_loose_use", "past_deliveries")
SHEETS = (
    "items", "parts", "suppliers", "offers", "services", "set_ups", "calendar_words",
    "opening_stock", *HISTORY,
)  # fmt: skip
Sheet = list[dict[str, str]]


def script() -> ModuleType:
    """The script loaded by its path, as the installed tool loads it."""
    spec = importlib.util.spec_from_file_location("demo_script", SHOP / "make_demo_shop.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@cache
def sheets(folder: Path) -> dict[str, Sheet]:
    read = {}
    for name in SHEETS:
        with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as sheet:
            read[name] = list(csv.DictReader(sheet, strict=True))
    return read


@pytest.fixture(scope="module")
def stored() -> dict[str, Sheet]:
    return sheets(SHOP)


@pytest.fixture(scope="module")
def copies(tmp_path_factory: pytest.TempPathFactory) -> dict[date, Path]:
    place, move = tmp_path_factory.mktemp("copies"), script().dated
    return {today: move(SHOP, today, place / today.isoformat()) for today in TODAYS}


def ids(rows: Sheet, column: str) -> set[str]:
    return {row[column] for row in rows}


def kept(shop: dict[str, Sheet]) -> set[str]:
    return {row["item"] for row in shop["opening_stock"] if row["tagged"] == "yes"}


# ------------------------------------------------------------------ the sheets


def test_every_row_of_every_sheet_has_a_cell_for_each_column(stored: dict[str, Sheet]) -> None:
    for name, rows in stored.items():
        assert rows, name
        assert not [row for row in rows if None in row or None in row.values()], name


def test_every_reference_leads_somewhere(stored: dict[str, Sheet]) -> None:
    items, services = ids(stored["items"], "item"), ids(stored["services"], "service")
    for name in ("parts", "offers", "set_ups", "opening_stock", *HISTORY[1:]):
        assert ids(stored[name], "item") <= items, name
    for name in ("set_ups", "calendar_words", "past_use"):
        assert ids(stored[name], "service") <= services, name
    done = {part for row in stored["past_visits"] for part in row["services"].split(";")}
    assert done <= services
    assert ids(stored["parts"], "supplied_as") - {""} <= items
    for name in ("offers", "past_deliveries"):
        assert ids(stored[name], "supplier") <= ids(stored["suppliers"], "supplier"), name
    served = {row["visit"] for row in stored["past_visits"] if row["outcome"] == "served"}
    assert ids(stored["past_use"], "visit") == served


def test_no_row_says_the_same_thing_twice(stored: dict[str, Sheet]) -> None:
    keys = {
        "items": "item", "parts": "item part", "suppliers": "supplier", "offers": "offer",
        "services": "service", "set_ups": "service item", "calendar_words": "word",
        "opening_stock": "item lot", "past_visits": "visit", "past_use": "visit service item",
        "past_deliveries": "lot",
    }  # fmt: skip
    for name, columns in keys.items():
        counted = Counter(tuple(row[c] for c in columns.split()) for row in stored[name])
        assert max(counted.values()) == 1, name


def test_the_studio_is_of_the_size_it_claims(stored: dict[str, Sheet]) -> None:
    assert 55 <= len(stored["items"]) <= 70
    assert len(stored["services"]) == 20
    assert len(stored["suppliers"]) == 3
    assert ids(stored["past_visits"], "technician") == {"MR", "TS"}
    assert ids(stored["set_ups"], "service") == ids(stored["services"], "service")
    assert ids(stored["offers"], "item") == ids(stored["items"], "item")
    assert sum(path.stat().st_size for path in SHOP.iterdir() if path.is_file()) < 1_500_000


def test_one_item_is_bare_of_any_make_up_so_that_the_desk_must_ask(
    stored: dict[str, Sheet],
) -> None:
    bare = ids(stored["items"], "item") - ids(stored["parts"], "item")
    assert bare == {"nail-file-100-180"}
    assert "nail-file-100-180" in ids(stored["set_ups"], "item")


# ------------------------------------------------------------------ nothing real

TRADE_WORDS = """
    abrasive acetone acid-free acrylic activator alcohol and antiseptic back band bands bare
    base basin birch bit block board bond both brush buffer builder carbide cardboard clear
    client clipper cloth coat coating colour concentrate cord core cotton curing cuticle
    dehydrator diamond dip dish disinfectant disposable dusting e-file emery etched ethyl face
    file film foam foil foot for form four gauze gel glass glove glue grit hand handpiece
    isopropyl lamp left liner lint-free liquid mandrel mask mat medium metal methacrylate mixed
    mixing nail nipper nitrile no nonwoven nude nylon of oil on one pad padded paddle pair paper
    part peel-off pink plastic plum polish pouch powder primer pusher red remover sanding
    scissors scrub sculpting self-adhesive separators sheet sheets shine sides square stainless
    steel sterilisation stick strip strips table teeth terry the three-way tip tips to toe top
    towel tweezers water white wipe with wood wrap
"""


def test_item_names_hold_nothing_but_plain_words_of_the_trade(stored: dict[str, Sheet]) -> None:
    for row in stored["items"]:
        words = re.findall(r"[^\s,%]+", row["name"])
        strange = [
            w for w in words if w not in TRADE_WORDS.split() and not re.fullmatch(r"[\d/]+", w)
        ]
        assert not strange, row["name"]


def test_shop_and_suppliers_are_marked_as_invented(stored: dict[str, Sheet]) -> None:
    assert all(row["name"].endswith("(invented)") for row in stored["suppliers"])
    assert '(invented)"' in (SHOP / "shop.toml").read_text(encoding="utf-8")


def test_clients_are_short_codes(stored: dict[str, Sheet]) -> None:
    codes = ids(stored["past_visits"], "client")
    assert all(re.fullmatch(r"c\d{3}", code) for code in codes)


def test_bar_code_numbers_are_of_the_range_kept_for_use_inside_a_shop(
    stored: dict[str, Sheet],
) -> None:
    """GS1 keeps the prefixes 20-29 for a shop's own numbers (from memory); no product has one."""
    numbers = ids(stored["offers"], "gtin") - {""}
    assert len(numbers) > 20
    for number in numbers:
        assert re.fullmatch(r"02\d{12}", number)
        digits = [int(digit) for digit in reversed(number)]
        assert (sum(digits[0::2]) + 3 * sum(digits[1::2])) % 10 == 0


# ------------------------------------------------------------------ the half year


def test_forty_to_fifty_visits_come_in_a_week_and_about_one_in_twenty_stays_away(
    stored: dict[str, Sheet],
) -> None:
    visits = stored["past_visits"]
    weeks = Counter(date.fromisoformat(row["starts_on"][:10]).isocalendar()[:2] for row in visits)
    assert len(weeks) == 27
    assert 40 <= len(visits) / 27 <= 50
    assert all(34 <= seen <= 58 for seen in weeks.values())
    assert 0.03 < sum(row["outcome"] == "no-show" for row in visits) / len(visits) < 0.07


def test_the_studio_is_closed_on_sunday_and_busier_towards_saturday(
    stored: dict[str, Sheet],
) -> None:
    days = Counter(
        date.fromisoformat(row["starts_on"][:10]).weekday() for row in stored["past_visits"]
    )
    assert days[6] == 0
    assert days[0] < days[3] < days[5] * 1.1


def test_no_technician_sits_at_two_tables(stored: dict[str, Sheet]) -> None:
    minutes = {row["service"]: int(row["minutes"]) for row in stored["services"]}
    busy = defaultdict(list)
    for row in stored["past_visits"]:
        starts = datetime.fromisoformat(row["starts_on"])
        ends = starts + timedelta(minutes=sum(minutes[s] for s in row["services"].split(";")))
        assert starts.hour >= 9
        assert ends.time() <= time(19, 30)
        busy[row["technician"]].append((starts, ends))
    for spells in busy.values():
        assert all(end <= start for (_, end), (start, _) in pairwise(sorted(spells)))


def test_visits_are_booked_before_they_begin_and_no_client_comes_twice_a_day(
    stored: dict[str, Sheet],
) -> None:
    visits = stored["past_visits"]
    assert all(row["booked_on"] <= row["starts_on"][:10] for row in visits)
    seen = Counter((row["client"], row["starts_on"][:10]) for row in visits)
    assert max(seen.values()) == 1


def test_deliveries_take_as_long_as_their_supplier_says(stored: dict[str, Sheet]) -> None:
    possible = {
        row["supplier"]: {int(pair.split(":")[0]) for pair in row["lead_days"].split()}
        for row in stored["suppliers"]
    }
    for row in stored["past_deliveries"]:
        took = date.fromisoformat(row["arrived_on"]) - date.fromisoformat(row["ordered_on"])
        assert took.days in possible[row["supplier"]]


def test_lint_free_wipes_are_used_faster_than_their_set_ups_say(
    stored: dict[str, Sheet],
) -> None:
    said = {
        row["service"]: int(row["quantity"])
        for row in stored["set_ups"]
        if row["item"] == "lint-free-wipe"
    }
    used = [row for row in stored["past_use"] if row["item"] == "lint-free-wipe"]
    mean_over = sum(int(row["quantity"]) - said[row["service"]] for row in used) / len(used)
    assert mean_over > 1


def test_a_core_is_used_with_a_fresh_surface_in_nearly_every_visit(
    stored: dict[str, Sheet],
) -> None:
    by_item = defaultdict(set)
    for row in stored["past_use"]:
        by_item[row["item"]].add(row["visit"])
    for core, surface in (("peel-core", "grit-strip-180"), ("foot-paddle", "foot-sheet-120")):
        without = by_item[core] - by_item[surface]
        assert by_item[surface] <= by_item[core]
        assert len(without) < 0.05 * len(by_item[core])


# ------------------------------------------------------------------ the shelf, replayed


@dataclass
class Lot:
    left: int
    use_by: str
    once_open: int | None
    opened_on: str = ""

    def last_day(self, ages_once_open: bool) -> str:
        if not (ages_once_open and self.once_open and self.opened_on):
            return self.use_by or "9999"
        opened = date.fromisoformat(self.opened_on) + timedelta(days=self.once_open)
        return min(self.use_by or "9999", opened.isoformat())


@dataclass
class Shelf:
    """Stock by item, drawn first to expire first; `ages_once_open` counts the opened period."""

    ages_once_open: bool
    once_open: dict[str, int]
    lots: dict[str, list[Lot]] = field(default_factory=lambda: defaultdict(list))

    def put(self, row: dict[str, str]) -> None:
        once_open = self.once_open.get(row["item"])
        opened = row.get("opened_on", "")
        self.lots[row["item"]].append(Lot(int(row["quantity"]), row["use_by"], once_open, opened))

    def draw(self, item: str, units: int, day: str) -> None:
        def last_day(lot: Lot) -> str:
            return lot.last_day(self.ages_once_open)

        for lot in sorted(self.lots[item], key=last_day):
            if units and lot.left and day <= last_day(lot):
                lot.opened_on = lot.opened_on or day
                part = min(units, lot.left)
                lot.left, units = lot.left - part, units - part
        assert not units, f"{item} ran short by {units} on {day}"

    def in_date(self, item: str, day: str) -> int:
        return sum(lot.left for lot in self.lots[item] if lot.last_day(True) >= day)


def moments(shop: dict[str, Sheet], parcels_first: bool) -> Iterator[tuple[str, str, str, int]]:
    """(moment, what, item, units) of everything that moved stock, as it happened."""
    starts = {row["visit"]: row["starts_on"] for row in shop["past_visits"]}
    parcels, loose = ("T00", "T23") if parcels_first else ("T23", "T00")
    for number, row in enumerate(shop["past_deliveries"]):
        yield row["arrived_on"] + parcels, "put", str(number), 0
    for row in shop["past_loose_use"]:
        yield row["on"] + loose, "draw", row["item"], int(row["quantity"])
    for row in shop["past_use"]:
        yield starts[row["visit"]], "draw", row["item"], int(row["quantity"])


def replay(shop: dict[str, Sheet], parcels_first: bool, ages_once_open: bool) -> Shelf:
    once_open = {
        row["item"]: int(row["after_opening_days"])
        for row in shop["items"]
        if row["after_opening_days"]
    }
    shelf, washed = Shelf(ages_once_open, once_open), kept(shop)
    for row in shop["opening_stock"]:
        shelf.put(row)
    for moment, what, item, units in sorted(moments(shop, parcels_first), key=lambda m: m[0]):
        if what == "put":
            shelf.put(shop["past_deliveries"][int(item)])
        elif item not in washed:
            shelf.draw(item, units, moment[:10])
    return shelf


@pytest.mark.parametrize("parcels_first", [True, False])
@pytest.mark.parametrize("ages_once_open", [True, False])
def test_replayed_in_time_the_shelf_never_runs_bare_nor_gives_out_of_date(
    stored: dict[str, Sheet], parcels_first: bool, ages_once_open: bool
) -> None:
    replay(stored, parcels_first, ages_once_open)


def test_liquids_are_drawn_in_whole_doses(stored: dict[str, Sheet]) -> None:
    dose = {row["item"]: int(row["dose"]) for row in stored["items"]}
    for name in ("past_use", "past_loose_use"):
        assert not [r for r in stored[name] if int(r["quantity"]) % dose[r["item"]]], name


def weekly_use(shop: dict[str, Sheet]) -> dict[str, float]:
    used: Counter[str] = Counter()
    for name in ("past_use", "past_loose_use"):
        for row in shop[name]:
            used[row["item"]] += int(row["quantity"])
    return {item: units / 27 for item, units in used.items() if item not in kept(shop)}


@pytest.mark.parametrize("today", [ANCHOR, date(2026, 11, 25), date(2027, 5, 4)])
def test_the_week_has_something_to_order_something_to_throw_out_and_a_lot_out_of_turn(
    copies: dict[date, Path], today: date
) -> None:
    shop = sheets(copies[today])
    shelf, day = replay(shop, parcels_first=True, ages_once_open=True), today.isoformat()
    soon = (today + timedelta(days=21)).isoformat()
    weeks = {item: shelf.in_date(item, day) / used for item, used in weekly_use(shop).items()}
    assert len([item for item, left in weeks.items() if left < 2.5]) >= 5
    assert weeks["buffer-block"] < 2
    assert weeks["wood-stick"] < 2
    dated_lots = [(item, lot) for item, lots in shelf.lots.items() for lot in lots if lot.use_by]
    assert [item for item, lot in dated_lots if lot.left and lot.use_by < day]
    assert [item for item, lot in dated_lots if lot.left and day <= lot.use_by <= soon]
    came_last = shelf.lots["acrylic-liquid"][-1]
    others = [lot.use_by for lot in shelf.lots["acrylic-liquid"][:-1] if lot.left]
    assert came_last.left
    assert others
    assert came_last.use_by < min(others)


# ------------------------------------------------------------------ the copy for today


def diary(folder: Path) -> list[dict[str, str]]:
    """The events of the calendar as plain fields, parameters left off."""
    text = (folder / "appointments.ics").read_bytes().decode("utf-8")
    events = re.findall(r"BEGIN:VEVENT\r\n(.*?)END:VEVENT", text, re.DOTALL)
    lines = [event.strip().split("\r\n") for event in events]
    return [{ln.split(":", 1)[0].split(";")[0]: ln.split(":", 1)[1] for ln in e} for e in lines]


def visits_on(events: list[dict[str, str]], day: date) -> list[dict[str, str]]:
    start = f"{day:%Y%m%d}"
    alive = [event for event in events if event["STATUS"] != "CANCELLED"]
    return [event for event in alive if event["DTSTART"].startswith(start)]


@pytest.mark.parametrize("today", TODAYS)
def test_whatever_day_it_is_today_has_its_visits(copies: dict[date, Path], today: date) -> None:
    booked = visits_on(diary(copies[today]), today)
    if today.weekday() == 6:
        assert len(booked) == 5
    else:
        assert 8 <= len(booked) <= 10
    assert len({event["DESCRIPTION"].split("\\n")[0] for event in booked}) == len(booked)


@pytest.mark.parametrize("today", TODAYS)
def test_the_past_ends_before_today_and_the_diary_begins_with_it(
    copies: dict[date, Path], today: date
) -> None:
    shop, events, day = sheets(copies[today]), diary(copies[today]), today.isoformat()
    starts = [row["starts_on"][:10] for row in shop["past_visits"]]
    assert max(starts) < day
    assert min(starts) <= (today - timedelta(weeks=26)).isoformat()
    assert max(row["on"] for row in shop["past_loose_use"]) < day
    assert max(row["arrived_on"] for row in shop["past_deliveries"]) < day
    assert all(event["CREATED"][:8] <= f"{today:%Y%m%d}" <= event["DTSTART"] for event in events)
    served = {row["visit"] for row in shop["past_visits"] if row["outcome"] == "served"}
    assert ids(shop["past_use"], "visit") == served
    assert not served & ids(events, "UID")


@pytest.mark.parametrize("today", TODAYS)
def test_days_move_by_whole_weeks_so_that_sunday_stays_closed(
    copies: dict[date, Path], today: date
) -> None:
    starts = [row["starts_on"] for row in sheets(copies[today])["past_visits"]]
    assert all(date.fromisoformat(start[:10]).weekday() != 6 for start in starts)
    stored_start = date.fromisoformat(sheets(SHOP)["past_visits"][0]["starts_on"][:10])
    moved = date.fromisoformat(starts[0][:10]) - stored_start
    assert moved.days % 7 == 0
    assert 0 <= (ANCHOR + moved - today).days <= 6


@pytest.mark.parametrize("today", TODAYS)
def test_bookings_thin_out_over_five_weeks(copies: dict[date, Path], today: date) -> None:
    ahead: Counter[int] = Counter()
    for event in diary(copies[today]):
        ahead[(date.fromisoformat(event["DTSTART"][:8]) - today).days // 7] += 1
    assert ahead[0] > ahead[1] > ahead[2]
    assert 1 <= ahead[3] < ahead[1]
    assert 1 <= ahead[4] < ahead[1]
    assert max(ahead) <= 5


def test_the_diary_has_two_series_a_skipped_day_and_a_cancelled_visit(
    copies: dict[date, Path],
) -> None:
    for folder in (SHOP, *copies.values()):
        events = diary(folder)
        series = [event for event in events if "RRULE" in event]
        assert len(series) == 2
        assert [event for event in series if "EXDATE" in event]
        assert [event for event in events if event["STATUS"] == "CANCELLED"]


def test_on_no_day_does_a_clock_change_fall_into_opening_hours(
    copies: dict[date, Path],
) -> None:
    for today in CLOCKS_CHANGE:
        assert all(event["DTSTART"][9:11] >= "09" for event in diary(copies[today]))


def needed_on(shop: dict[str, Sheet], events: list[dict[str, str]]) -> Counter[str]:
    """Units of every item that the set-ups ask for, visit by visit."""
    word = {row["word"]: row["service"] for row in shop["calendar_words"]}
    needs: Counter[str] = Counter()
    for event in events:
        taken: Counter[str] = Counter()
        for service in (word[part] for part in event["SUMMARY"].lower().split(" and ")):
            for row in (row for row in shop["set_ups"] if row["service"] == service):
                if not taken[row["item"]] or row["once_per_visit"] == "no":
                    taken[row["item"]] += int(row["quantity"])
        needs += taken
    return needs


@pytest.mark.parametrize("today", TODAYS)
def test_today_can_be_served_from_the_shelf_without_a_wash_in_between(
    copies: dict[date, Path], today: date
) -> None:
    shop, day = sheets(copies[today]), today.isoformat()
    shelf = replay(shop, parcels_first=True, ages_once_open=True)
    wiped = {row["item"] for row in shop["items"] if row["electric"] == "yes"}
    pieces = {row["item"]: int(row["quantity"]) for row in shop["opening_stock"]}
    for item, units in needed_on(shop, visits_on(diary(copies[today]), today)).items():
        there = pieces[item] if item in kept(shop) else shelf.in_date(item, day)
        assert units <= there or item in wiped, item


@pytest.mark.parametrize("today", [date(2026, 11, 25), date(2027, 5, 8)])
def test_the_copy_replays_as_the_stored_shop_does(copies: dict[date, Path], today: date) -> None:
    replay(sheets(copies[today]), parcels_first=False, ages_once_open=True)


@pytest.mark.parametrize("today", TODAYS)
def test_the_desk_takes_the_copy_without_a_word_of_complaint(
    copies: dict[date, Path], today: date
) -> None:
    from consumables.paperwork.calendars import read_appointments
    from consumables.paperwork.catalogue_folder import read_catalogue

    shop = read_catalogue(copies[today])
    read = read_appointments(
        copies[today] / "appointments.ics", shop.services, shop.words, shop.settings.zone,
        today, today + timedelta(weeks=16),
    )  # fmt: skip
    assert not read.warnings
    assert not read.unmapped
    assert all(visit.client and visit.technician for visit in read.appointments)
    assert len([visit for visit in read.appointments if visit.visit_id.startswith("r")]) == 6
    assert len({visit.starts_at.strftime("%H") for visit in read.appointments}) > 6


def test_the_desk_reads_the_history_of_the_copy(copies: dict[date, Path]) -> None:
    from consumables.paperwork.catalogue_folder import read_catalogue
    from consumables.paperwork.history_folder import read_history

    today = date(2026, 11, 25)
    folder, shop = copies[today], sheets(copies[today])
    history = read_history(folder, read_catalogue(folder))
    assert len(history.visits) == len(shop["past_visits"])
    assert len(history.use) == len(shop["past_use"])
    assert len(history.loose_use) == len(shop["past_loose_use"])
    assert len(history.deliveries) == len(shop["past_deliveries"])
    assert max(visit.starts_at.date() for visit in history.visits) < today


def test_moving_again_into_the_same_folder_replaces_what_was_there(tmp_path: Path) -> None:
    move = script().dated
    for today in (date(2027, 1, 1), date(2024, 2, 29)):
        move(SHOP, today, tmp_path / "shop")
    again = move(SHOP, date(2024, 2, 29), tmp_path / "fresh")
    for path in again.iterdir():
        assert path.read_bytes() == (tmp_path / "shop" / path.name).read_bytes(), path.name


# ------------------------------------------------------------------ the script itself


def test_the_script_loads_alone_and_writes_nothing_by_being_loaded() -> None:
    path = str(SHOP / "make_demo_shop.py")
    code = (
        "import importlib.util, sys; before = set(sys.modules)\n"
        f"spec = importlib.util.spec_from_file_location('demo', {path!r})\n"
        "spec.loader.exec_module(importlib.util.module_from_spec(spec))\n"
        "new = {name.split('.')[0] for name in set(sys.modules) - before}\n"
        "print(sorted(new - set(sys.stdlib_module_names)))"
    )
    before = {path.name: path.stat().st_mtime_ns for path in SHOP.iterdir() if path.is_file()}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
    assert before == {p.name: p.stat().st_mtime_ns for p in SHOP.iterdir() if p.is_file()}


def test_the_same_seed_writes_the_same_half_year(tmp_path: Path) -> None:
    command = [sys.executable, "-B", str(SHOP / "make_demo_shop.py"), "--into", str(tmp_path)]
    subprocess.run(command, check=True)
    written = sorted(path.name for path in tmp_path.iterdir())
    assert written == sorted(["appointments.ics", *(f"{name}.csv" for name in HISTORY)])
    for name in written:
        assert (tmp_path / name).read_bytes() == (SHOP / name).read_bytes(), name
