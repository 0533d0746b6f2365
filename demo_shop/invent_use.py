"""What each invented visit used, and what went without a client: mixing, spills, breakage."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date, timedelta
from pathlib import Path
from random import Random

from invent_diary import FIRST_DAY, Visit, rows_of

SHADES = {
    "colour-gel-nude": {"colour-gel-nude": 0.55, "colour-gel-red": 0.25, "colour-gel-plum": 0.2},
    "colour-gel-red": {"colour-gel-nude": 0.2, "colour-gel-red": 0.5, "colour-gel-plum": 0.3},
    "polish-nude": {"polish-nude": 0.6, "polish-red": 0.4},
    "polish-red": {"polish-nude": 0.35, "polish-red": 0.65},
}
ABRASIVES = ("emery-board", "padded-file", "grit-strip-180", "buffer-block")
DRIFTS, DRIFT_FROM = "lint-free-wipe", FIRST_DAY + timedelta(weeks=9)
NOT_WRITTEN_DOWN = 0.012  # visits whose card shows one abrasive too few
EVERY_DAY = (
    ("disinfectant-concentrate", 45, 50, "the day's disinfectant mixed"),
    ("sterilisation-pouch", 5, 9, "tool sets pouched at wash-up"),
    ("nitrile-glove", 2, 4, "gloves for the wash-up"),
    ("surface-wipe", 2, 4, "tables wiped at closing"),
)
NOW_AND_THEN = (
    ("acetone", 40, 120, "bottle knocked over"),
    ("isopropyl-70", 20, 60, "bottle knocked over"),
    ("emery-board", 1, 2, "fell on the floor"),
    ("buffer-block", 1, 2, "fell on the floor"),
    ("nitrile-glove", 1, 2, "torn while pulling on"),
    ("polish-red", 3, 8, "bottle broken"),
    ("builder-gel", 2, 5, "tried out on a practice nail"),
    ("wood-stick", 1, 3, "snapped"),
    ("lint-free-wipe", 5, 12, "packet left open and dusty"),
    ("table-mat", 1, 2, "wet before the client sat down"),
)

POURED_IN = {"acetone": 5, "disinfectant-concentrate": 5}  # ml

Use = tuple[str, str, str, int]  # visit, service, item, quantity
Taken = dict[tuple[str, str], int]  # {(service, item): quantity}
Loose = tuple[date, str, int, str]  # day, item, quantity, why


def kept_items(folder: Path) -> set[str]:
    """Things washed and used again: in rotation with a tag, used but never drawn down."""
    return {r["item"] for r in rows_of(folder / "opening_stock.csv") if r["tagged"] == "yes"}


def record_use(folder: Path, visits: list[Visit], rng: Random) -> list[Use]:
    """What each served visit really took: the set-ups, with a technician's everyday variation."""
    set_ups = defaultdict(list)
    for row in rows_of(folder / "set_ups.csv"):
        set_ups[row["service"]].append(row)
    items = {row["item"]: row for row in rows_of(folder / "items.csv")}
    kept, uses = kept_items(folder), []
    for visit in visits:
        taken: Taken = {}
        for line in (line for service in visit.service_ids for line in set_ups[service]):
            item, service = line["item"], line["service"]
            if line["once_per_visit"] == "no" or all(item != earlier for _, earlier in taken):
                quantity, shade = int(line["quantity"]), _shade(item, rng)
                really = 1 if item in kept else _really(items[item], quantity, visit, rng)
                taken[service, shade] = taken.get((service, shade), 0) + really
        _forget_one(taken, rng)
        uses += [(visit.visit_id, service, item, n) for (service, item), n in taken.items()]
    return uses


def _shade(item: str, rng: Random) -> str:
    shades = SHADES.get(item, {item: 1})
    return rng.choices(list(shades), list(shades.values()))[0]


def _really(item: dict[str, str], quantity: int, visit: Visit, rng: Random) -> int:
    """The set-up's quantity, a little more or less; the drifting item by two more."""
    if item["item"] == DRIFTS and visit.starts_at.date() >= DRIFT_FROM:
        quantity += 2
    if item["unit"] != "each":
        dose = int(item["dose"])
        return max(dose, round(quantity * (0.75 + 0.6 * rng.random()) / dose) * dose)
    if item["item"] == "nitrile-glove":
        return quantity + (2 if rng.random() < 0.12 else 0)
    if quantity == 1:
        return 2 if rng.random() < 0.05 else 1
    return max(1, quantity + rng.choice((-1, 0, 0, 0, 0, 1, 1, 2)))


def _forget_one(taken: Taken, rng: Random) -> None:
    """Now and then an abrasive is not written down: the reuse gap should find these visits."""
    if rng.random() < NOT_WRITTEN_DOWN:
        for key in [key for key in taken if key[1] in ABRASIVES][:1]:
            del taken[key]


def record_loose_use(visits: list[Visit], rng: Random) -> list[Loose]:
    """What went without a client: mixing, wiping down, breakage, spills."""
    loose: list[Loose] = []
    for day in sorted({visit.starts_at.date() for visit in visits}):
        loose += [(day, item, _between(low, high, rng), why) for item, low, high, why in EVERY_DAY]
        if rng.random() < 0.22:
            item, low, high, why = rng.choice(NOW_AND_THEN)
            loose.append((day, item, _between(low, high, rng), why))
    return [(day, item, n - n % POURED_IN.get(item, 1), why) for day, item, n, why in loose]


def _between(low: int, high: int, rng: Random) -> int:
    return low + int(rng.random() * (high - low + 1))


def draws_by_day(
    visits: list[Visit], uses: list[Use], loose: list[Loose], kept: set[str]
) -> dict[date, Counter[str]]:
    """{day: {item: units}} for everything that leaves the shelf."""
    day_of = {visit.visit_id: visit.starts_at.date() for visit in visits}
    draws: dict[date, Counter[str]] = defaultdict(Counter)
    for visit, _, item, quantity in uses:
        if item not in kept:
            draws[day_of[visit]][item] += quantity
    for day, item, quantity, _ in loose:
        draws[day][item] += quantity
    return draws
