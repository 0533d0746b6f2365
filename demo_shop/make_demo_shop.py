"""Moves the invented studio's dates to today, and writes its history anew from a seed.

The catalogue sheets, `opening_stock.csv` and `shop.toml` are written by hand. Run as a script,
this writes the history and the diary beside them: `python demo_shop/make_demo_shop.py`.
"""

from __future__ import annotations

import argparse
import csv
import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from pathlib import Path

ANCHOR = date(2026, 6, 28)  # a Sunday; the day the stored files call "today"
SEED = 315
BY_HAND = (
    "shop.toml", "items.csv", "parts.csv", "suppliers.csv", "offers.csv", "services.csv",
    "set_ups.csv", "calendar_words.csv", "opening_stock.csv",
)  # fmt: skip
HISTORY = ("past_visits.csv", "past_use.csv", "past_loose_use.csv", "past_deliveries.csv")
CALENDAR = "appointments.ics"

ISO_DAY = re.compile(r"\b\d{4}-\d\d-\d\d(?!\d)")
BASIC_DAY = re.compile(r"\b\d{8}(?=T\d{6}|\b)")
ONE_EVENT = re.compile(r"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", re.DOTALL)


def dated(folder: Path, today: date, into: Path) -> Path:
    """A copy of `folder` in `into` whose story stands at the morning of `today`; returns `into`.

    All dates move by the same whole number of weeks, so that Monday stays Monday and the studio
    stays closed on Sunday; the anchor lands on the Sunday that is today or comes next. What the
    stored history tells of today and later is then left out, and so is every booking that nobody
    has made yet; the diary keeps what starts today or later. Existing files are replaced.
    """
    moved_by = timedelta(weeks=-((ANCHOR - today).days // 7))
    into.mkdir(parents=True, exist_ok=True)
    texts = {name: _moved_csv(folder / name, moved_by) for name in (*BY_HAND, *HISTORY)}
    gone = _visits_from(texts["past_visits.csv"], today)
    texts["past_visits.csv"] = _kept_lines(texts["past_visits.csv"], _before(today, column=1))
    texts["past_use.csv"] = _kept_lines(texts["past_use.csv"], lambda row: row[0] not in gone)
    texts["past_loose_use.csv"] = _kept_lines(texts["past_loose_use.csv"], _before(today, column=0))
    texts["past_deliveries.csv"] = _kept_lines(
        texts["past_deliveries.csv"], _before(today, column=3)
    )
    for name, text in texts.items():
        _write(into / name, text)
    _write(into / CALENDAR, _moved_calendar(_read(folder / CALENDAR), moved_by, today))
    return into


def _moved_csv(path: Path, moved_by: timedelta) -> str:
    """The text with every ISO day moved."""
    return ISO_DAY.sub(lambda m: (date.fromisoformat(m[0]) + moved_by).isoformat(), _read(path))


def _before(today: date, column: int) -> Callable[[list[str]], bool]:
    return lambda row: row[column][:10] < today.isoformat()


def _visits_from(past_visits: str, today: date) -> set[str]:
    """Ids of the visits that the copy may not know yet."""
    rows = [line.split(",") for line in past_visits.splitlines()[1:]]
    return {row[0] for row in rows if row[1][:10] >= today.isoformat()}


def _kept_lines(text: str, keep: Callable[[list[str]], bool]) -> str:
    """The header, and the rows to keep; no cell of a history sheet holds a comma."""
    header, *lines = text.splitlines(keepends=True)
    return header + "".join(line for line in lines if keep(line.split(",")))


def _moved_calendar(text: str, moved_by: timedelta, today: date) -> str:
    """The diary with every event's dates moved; the zone's own rules stay where they are."""

    def moved(event: re.Match[str]) -> str:
        text = BASIC_DAY.sub(lambda m: f"{date.fromisoformat(m[0]) + moved_by:%Y%m%d}", event[0])
        known = _day_in(text, "CREATED") <= today
        ahead = "RRULE:" in text or _day_in(text, "DTSTART") >= today
        return text if known and ahead else ""

    return ONE_EVENT.sub(moved, text)


def _day_in(event: str, field: str) -> date:
    found = re.search(rf"^{field}[^:\r\n]*:(\d{{8}})", event, re.MULTILINE)
    if not found:
        raise ValueError(f"An event of the demo diary has no {field}.")
    return date.fromisoformat(found[1])


def _read(path: Path) -> str:
    return path.read_bytes().decode("utf-8")


def _write(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))


def invent(folder: Path, into: Path, seed: int = SEED) -> None:
    """Write the history and the diary that follow from the hand-written sheets and the seed."""
    from random import Random

    from invent_calendar import calendar_text
    from invent_diary import keep_diary
    from invent_orders import buy
    from invent_use import draws_by_day, kept_items, record_loose_use, record_use

    rng = Random(seed)
    visits = keep_diary(folder, rng)
    past = [v for v in visits if v.starts_at.date() < ANCHOR and v.fate != "cancelled"]
    served = [v for v in past if v.fate == "served"]
    uses, loose = record_use(folder, served, rng), record_loose_use(served, rng)
    draws = draws_by_day(served, uses, loose, kept_items(folder))
    _sheet(
        into / "past_visits.csv",
        "visit starts_on services client technician outcome booked_on",
        (
            (v.visit_id, f"{v.starts_at:%Y-%m-%dT%H:%M}", ";".join(v.service_ids), v.client,
             v.technician, v.fate, v.booked_on)
            for v in past
        ),
    )  # fmt: skip
    _sheet(into / "past_use.csv", "visit service item quantity", uses)
    _sheet(into / "past_loose_use.csv", "on item quantity because", loose)
    _sheet(
        into / "past_deliveries.csv",
        "order supplier ordered_on arrived_on item quantity use_by lot unit_cost",
        (tuple(row.values()) for row in buy(folder, draws, rng)),
    )
    _write(into / CALENDAR, calendar_text(folder, visits))


def _sheet(path: Path, columns: str, rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as sheet:
        writer = csv.writer(sheet, lineterminator="\n")
        writer.writerow(columns.split())
        writer.writerows(rows)


def main() -> None:
    """`make_demo_shop.py [--into FOLDER] [--today DAY]`: invent anew, or write a moved copy."""
    here = Path(__file__).resolve().parent
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--into", type=Path, default=here, help="folder to write to")
    parser.add_argument("--today", type=date.fromisoformat, help="write a copy moved to this day")
    wanted = parser.parse_args()
    if wanted.today:
        dated(here, wanted.today, wanted.into)
    else:
        invent(here, wanted.into)


if __name__ == "__main__":
    main()
