"""Who came, who is booked and who called off: an invented diary for two technicians."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random

from make_demo_shop import ANCHOR

WEEKS_BACK, WEEKS_AHEAD = 27, 5
FIRST_DAY = ANCHOR - timedelta(days=7 * WEEKS_BACK - 1)  # a Monday
TECHNICIANS = ("MR", "TS")
CLOSING = time(19, 30)

VISITS_BY_WEEKDAY = (6, 7, 7, 8, 9, 9, 0)  # Monday first; closed on Sunday
VISITS_IN_THE_BUSY_WEEK = (8, 9, 9, 9, 10, 10, 6)  # the week that ends on the anchor Sunday
SHARE_OF_VISITS = {
    "classic-manicure": 6, "shine-manicure": 2, "spa-manicure": 2, "gel-manicure": 11,
    "builder-overlay": 4, "builder-infill": 5, "acrylic-tips": 1.5, "acrylic-forms": 1,
    "acrylic-infill": 2.5, "dip-set": 1.5, "gel-removal": 2, "acrylic-removal": 1,
    "polish-change": 1.5, "nail-repair": 1.5, "kids-manicure": 1, "cuticle-care": 1.5,
    "classic-pedicure": 4, "gel-pedicure": 4, "foot-care": 1.5, "feet-polish-change": 1,
}  # fmt: skip
FEET = {"classic-pedicure", "gel-pedicure", "foot-care", "feet-polish-change"}
ADDED_SERVICE = {
    "gel-manicure": ("gel-removal", "gel-pedicure"),
    "classic-manicure": ("classic-pedicure", "nail-repair"),
    "builder-overlay": ("gel-removal",),
    "acrylic-tips": ("acrylic-removal",),
}
FOR_A_WEDDING = ("gel-manicure", "classic-manicure", "shine-manicure")
CLIENTS = tuple(f"c{n:03d}" for n in range(1, 141))
NO_SHOW, CALLED_OFF, ADDS_A_SERVICE = 0.05, 0.04, 0.16
MEAN_DAYS_AHEAD = 12


@dataclass(frozen=True)
class Visit:
    """One line of the diary; `fate` is served, no-show or cancelled."""

    visit_id: str
    starts_at: datetime  # the shop's own clock
    minutes: int
    service_ids: tuple[str, ...]
    client: str
    technician: str
    booked_on: date
    fate: str


@dataclass(frozen=True)
class Regular:
    """A client who holds the first place of a day every few weeks."""

    visit_id: str
    first_day: date
    every_weeks: int
    times: int
    service_id: str
    client: str
    technician: str
    skipped: tuple[date, ...] = ()

    @property
    def days(self) -> tuple[date, ...]:
        """Every day of the series, the skipped ones among them."""
        step = timedelta(weeks=self.every_weeks)
        return tuple(self.first_day + n * step for n in range(self.times))


REGULARS = (
    Regular("r1", ANCHOR + timedelta(days=4), 2, 4, "gel-manicure", "c004", "MR",
            skipped=(ANCHOR + timedelta(days=18),)),
    Regular("r2", ANCHOR + timedelta(days=6), 3, 3, "classic-pedicure", "c011", "TS"),
)  # fmt: skip


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of one catalogue sheet."""
    with path.open(encoding="utf-8", newline="") as sheet:
        return list(csv.DictReader(sheet))


def keep_diary(folder: Path, rng: Random) -> list[Visit]:
    """Every visit from the first day of the history to five weeks after the anchor."""
    minutes = {row["service"]: int(row["minutes"]) for row in rows_of(folder / "services.csv")}
    days = (ANCHOR - FIRST_DAY).days + 7 * WEEKS_AHEAD
    visits: list[Visit] = []
    for n in range(days + 1):
        visits += _one_day(FIRST_DAY + timedelta(days=n), minutes, rng, first_number=len(visits))
    return visits


def _one_day(day: date, minutes: dict[str, int], rng: Random, first_number: int) -> list[Visit]:
    """A day's visits, each with the technician who is free first, until the day is full."""
    free_at = {who: datetime.combine(day, time(9)) for who in TECHNICIANS}
    for regular in REGULARS:
        if day in regular.days:
            free_at[regular.technician] += timedelta(minutes=75)
    visits: list[Visit] = []
    for _ in range(_how_many(day, rng)):
        services = _services(day, rng)
        length = sum(minutes[service] for service in services)
        who = min(TECHNICIANS, key=lambda name: free_at[name])
        if free_at[who] + timedelta(minutes=length) > datetime.combine(day, CLOSING):
            continue
        starts_at, fate = free_at[who], _fate(day, rng, first=not visits)
        free_at[who] += timedelta(minutes=length + rng.choice((15, 30, 45, 60, 75)))
        visits.append(
            Visit(f"v{first_number + len(visits) + 1:05d}", starts_at, length, services,
                  _client(rng, {visit.client for visit in visits}), who, _booked(day, rng), fate)
        )  # fmt: skip
    return sorted(visits, key=lambda visit: visit.starts_at)


def _how_many(day: date, rng: Random) -> int:
    if ANCHOR - timedelta(days=6) <= day <= ANCHOR:
        return VISITS_IN_THE_BUSY_WEEK[day.weekday()]
    usual = VISITS_BY_WEEKDAY[day.weekday()]
    return max(0, round(usual * _season(day)) + rng.choice((-1, 0, 0, 0, 1))) if usual else 0


def _season(day: date) -> float:
    """A mild wave over the year, highest near the anchor."""
    return 1 + 0.06 * math.cos(2 * math.pi * (day - ANCHOR).days / 365)


def _services(day: date, rng: Random) -> tuple[str, ...]:
    if day == ANCHOR:
        return (rng.choice(FOR_A_WEDDING),)
    feet = 1 + 0.3 * math.cos(2 * math.pi * (day - ANCHOR).days / 365)
    weights = [share * (feet if s in FEET else 1) for s, share in SHARE_OF_VISITS.items()]
    main = rng.choices(list(SHARE_OF_VISITS), weights)[0]
    if main in ADDED_SERVICE and rng.random() < ADDS_A_SERVICE:
        added = rng.choice(ADDED_SERVICE[main])
        return (added, main) if added.endswith("removal") else (main, added)
    return (main,)


def _client(rng: Random, seen_today: Iterable[str]) -> str:
    """Some come often, most now and then; nobody twice on one day."""
    weights = [0 if code in seen_today else 1 / (n + 12) for n, code in enumerate(CLIENTS)]
    return rng.choices(CLIENTS, weights)[0]


def _booked(day: date, rng: Random) -> date:
    if day == ANCHOR:  # the wedding party was arranged long ago
        return ANCHOR - timedelta(days=40)
    return day - timedelta(days=min(34, int(-MEAN_DAYS_AHEAD * math.log(1 - rng.random()))))


def _fate(day: date, rng: Random, first: bool) -> str:
    """Of the wedding party one calls off; the busy week's other days lose nobody beforehand."""
    chance = rng.random()
    if day == ANCHOR and first:
        return "cancelled"
    if chance < NO_SHOW:
        return "no-show"
    busy = ANCHOR - timedelta(days=6) <= day <= ANCHOR
    return "cancelled" if chance < NO_SHOW + CALLED_OFF and not busy else "served"
