"""How long the week's order list takes for a large, busy shop, and how much memory.

    pytest -m bench tests/bench/bench_order_list.py -s

300 items, 25 services, 2 years with 20 000 visits of about 12 items, all invented from a seed.
Measured in a fresh process on one core; the floor is one grouped sum over the same usage table,
which any answer has to read at least once. Nothing is asserted about time.
"""

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from decimal import Decimal

import numpy as np
import pandas as pd
import pytest

AS_OF = date(2026, 3, 2)
ITEMS, SERVICES, SUPPLIERS, VISITS, DAYS, AHEAD = 300, 25, 5, 20_000, 730, 21
LEADS = [{2: 0.5, 3: 0.5}, {1: 1.0}, {3: 0.3, 5: 0.7}, {4: 1.0}, {2: 0.2, 6: 0.8}]


def shop(seed: int = 1) -> dict[str, pd.DataFrame]:
    """The tables of one invented shop."""
    rng = np.random.default_rng(seed)
    names = [f"item-{n:03d}" for n in range(ITEMS)]
    measured = np.arange(ITEMS) % 4 == 0
    set_ups = _set_ups(rng, names, measured)
    book = _book(rng)
    return {
        "items": pd.DataFrame(
            {
                "item": names,
                "unit": np.where(measured, "ml", "each"),
                "shelf_life_days": [365 if n % 3 == 0 else None for n in range(ITEMS)],
                "after_opening_days": [180 if n % 8 == 0 else None for n in range(ITEMS)],
            }
        ),
        "offers": _offers(rng, names, measured),
        "suppliers": pd.DataFrame(
            {
                "supplier": [f"s{n}" for n in range(SUPPLIERS)],
                "lead_days": LEADS,
                "minimum_order": 30,
                "shipping_fee": "5.90",
                "free_shipping_from": 100,
            }
        ),
        "set_ups": set_ups,
        "appointments": book,
        "usage": _usage(rng, book, set_ups),
        "loose_use": pd.DataFrame(
            {
                "on": _days(-rng.integers(1, DAYS, 1500)),
                "item": rng.choice(names, 1500),
                "quantity": rng.integers(1, 6, 1500),
            }
        ),
        "stock": _stock(rng, names),
        "on_order": pd.DataFrame({"item": names[:20], "units": 10, "due": AS_OF}),
    }


def _days(offsets: np.ndarray) -> pd.Series:
    return pd.Series(pd.Timestamp(AS_OF) + pd.to_timedelta(offsets, unit="D"))


def _set_ups(rng: np.random.Generator, names: list[str], measured: np.ndarray) -> pd.DataFrame:
    """Twelve items a service: four that every service uses and eight of its own."""
    rows = [
        (f"service-{service:02d}", names[n], int(rng.integers(1, 4) * (8 if measured[n] else 1)))
        for service in range(SERVICES)
        for n in (*range(4), *sorted(rng.choice(np.arange(4, ITEMS), 8, replace=False)))
    ]
    lines = pd.DataFrame(rows, columns=["service", "item", "quantity"])
    return lines.assign(once_per_visit=lines["item"].isin(names[:2]))


def _book(rng: np.random.Generator) -> pd.DataFrame:
    """Past and coming visits, a seventh of them with a second service."""
    coming = VISITS * AHEAD // DAYS // 2
    day = np.concatenate([-rng.integers(1, DAYS + 1, VISITS), rng.integers(0, AHEAD, coming)])
    ahead = np.minimum(rng.geometric(0.12, len(day)) - 1, 60)
    ahead = np.where(day >= 0, np.maximum(ahead, day + 1), ahead)
    ended = rng.choice(["served", "no-show", "cancelled"], len(day), p=[0.92, 0.04, 0.04])
    service = rng.integers(0, SERVICES, len(day))
    first = pd.DataFrame(
        {
            "visit": [f"visit-{n:05d}" for n in range(len(day))],
            "service": [f"service-{n:02d}" for n in service],
            "starts_on": _days(day),
            "booked_on": _days(day - ahead),
            "status": np.where(day >= 0, "booked", ended),
        }
    )
    two = rng.random(len(day)) < 1 / 7
    second = first[two].assign(service=[f"service-{n:02d}" for n in (service[two] + 1) % SERVICES])
    return pd.concat([first, second], ignore_index=True)


def _usage(rng: np.random.Generator, book: pd.DataFrame, set_ups: pd.DataFrame) -> pd.DataFrame:
    rows = book[book["status"] == "served"].merge(set_ups, on="service")
    once = rows["once_per_visit"] & rows.duplicated(["visit", "item"])
    rows = rows[~once]
    odd = rng.integers(-1, 2, len(rows)) * (rng.random(len(rows)) < 0.3)
    used = np.maximum(0, rows["quantity"] + odd)
    return rows[["visit", "service", "item"]].assign(quantity=used)


def _offers(rng: np.random.Generator, names: list[str], measured: np.ndarray) -> pd.DataFrame:
    rows = []
    for n, name in enumerate(names):
        for supplier in rng.choice(SUPPLIERS, 3, replace=False):
            size = int(rng.choice([10, 20, 50, 100]))
            price = Decimal(int(size * rng.integers(20, 60))) / 100
            units = size * (10 if measured[n] else 1)
            rows.append((f"{name}-{supplier}", f"s{supplier}", name, units, price, 5, price / 2))
    columns = ["offer", "supplier", "item", "pack_size", "price", "break_packs", "break_price"]
    return pd.DataFrame(rows, columns=columns)


def _stock(rng: np.random.Generator, names: list[str]) -> pd.DataFrame:
    lots = pd.DataFrame({"item": np.repeat(names, 2), "on_hand": rng.integers(0, 60, 2 * ITEMS)})
    lots["use_by"] = _days(rng.integers(5, 300, len(lots))).where(np.arange(len(lots)) % 2 == 0)
    return lots.assign(lot=[f"lot-{n}" for n in range(len(lots))])


def _best(job: Callable[[], object], times: int) -> float:
    """Shortest of some runs, in seconds."""
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        job()
        taken.append(time.perf_counter() - begun)
    return min(taken)


def _peak_megabytes() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def measure() -> dict[str, float]:
    """Time, memory and size of one list, in this process."""
    from consumables.reorder.week_order import stock_projection, week_order

    tables = shop()
    shelf = {k: v for k, v in tables.items() if k not in ("offers", "suppliers")}
    before = _peak_megabytes()
    begun = time.perf_counter()
    found = week_order(**tables, as_of=AS_OF)
    first = time.perf_counter() - begun
    peak = _peak_megabytes()
    assert found == week_order(**tables, as_of=AS_OF)
    for line in found.lines:
        assert (
            line.outlook.usable + line.outlook.on_order + line.units >= line.level or line.caution
        )
    usage = tables["usage"]
    return {
        "usage_rows": len(usage),
        "lines": len(found.lines),
        "first_seconds": first,
        "list_seconds": _best(lambda: week_order(**tables, as_of=AS_OF), 3),
        "shelf_seconds": _best(lambda: stock_projection(**shelf, as_of=AS_OF), 3),
        "floor_seconds": _best(lambda: usage.groupby(["service", "item"])["quantity"].sum(), 3),
        "peak_megabytes": peak,
        "tables_megabytes": before,
    }


@pytest.mark.bench
def test_the_order_list_of_a_large_shop() -> None:
    alone = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    told = subprocess.run(
        [sys.executable, __file__],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **alone, "PYTHONPATH": os.pathsep.join([os.getcwd(), *sys.path])},
    ).stdout
    found = json.loads(told)
    floor = found["floor_seconds"]
    print(f"\n{found['usage_rows']:.0f} usage rows, {found['lines']:.0f} order lines, one core")
    for name in ("first", "list", "shelf"):
        taken = found[f"{name}_seconds"]
        print(f"{name:>6}: {taken:6.2f} s = {taken / floor:5.1f} x the floor ({floor:.3f} s)")
    print(
        f"memory: peak {found['peak_megabytes']:.0f} MB, "
        f"{found['tables_megabytes']:.0f} MB of it before planning"
    )
    assert found["lines"] > 0


if __name__ == "__main__":
    print(json.dumps(measure()))
