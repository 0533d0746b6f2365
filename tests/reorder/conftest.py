"""Builders for the reorder tests: published records, small forecasts, a small shop."""

import csv
import json
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from consumables.reorder.bookings import BUCKETS, Book, bucket_of
from consumables.reorder.forecast import Forecast
from consumables.reorder.loose import LooseUse

REFERENCE = Path(__file__).parents[1] / "reference"
TODAY = date(2026, 3, 2)  # a Monday


def _records(kind: str) -> dict[str, dict[str, Any]]:
    told = json.loads((REFERENCE / f"{kind}.json").read_text(encoding="utf-8"))
    return {record["id"]: record for record in told["records"]}


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """`@pytest.mark.parametrize`, from a file: a test with a `<kind>_record` argument runs once
    for each of that file's records, `grid_row` once for each row of the exact grid."""
    for name in metafunc.fixturenames:
        if name.endswith("_record"):
            found = _records(name.removesuffix("_record"))
            metafunc.parametrize(name, found.values(), ids=found.keys())
        if name == "grid_row":
            with (REFERENCE / "rs_exact_grid.csv").open(encoding="utf-8") as lines:
                metafunc.parametrize(name, list(csv.DictReader(lines)))


@pytest.fixture(scope="session")
def record() -> Callable[[str, str], dict[str, Any]]:
    """One published record by kind and id."""
    return lambda kind, name: _records(kind)[name]


@pytest.fixture(scope="session")
def close_to() -> Callable[[dict[str, Any], str], Any]:
    """An expected figure of a record with the record's own tolerance."""

    def approx(told: dict[str, Any], name: str) -> Any:
        tolerance = told["tolerance"]
        return pytest.approx(
            told["expected"][name], abs=tolerance.get("abs", 0), rel=tolerance.get("rel", 0)
        )

    return approx


@pytest.fixture(scope="session")
def pmf() -> Callable[[dict[str, float]], np.ndarray]:
    """A pmf array from {size as text: chance}."""

    def build(told: dict[str, float]) -> np.ndarray:
        array = np.zeros(max(int(size) for size in told) + 1)
        for size, chance in told.items():
            array[int(size)] = chance
        return array

    return build


@pytest.fixture(scope="session")
def forecast_of() -> Callable[..., Forecast]:
    """A forecast for one item (or several alike) that one kind of visit uses."""

    def build(
        use: np.ndarray,
        booked: dict[int, int] | None = None,
        show: float = 1.0,
        daily: float = 0.0,
        doubt: float = 0.0,
        loose_daily: float = 0.0,
        horizon: int = 120,
        items: int = 1,
    ) -> Forecast:
        counts = np.zeros((1, len(BUCKETS), horizon))
        for day, many in (booked or {}).items():
            counts[0, bucket_of(np.array(day)), day] = many
        mean = daily * np.arange(horizon + 1.0)[None]
        book = Book(counts, np.full((1, len(BUCKETS)), show), mean, doubt * mean, np.array([True]))
        return Forecast(
            items=tuple(f"file{n or ''}" for n in range(items)),
            step=np.ones(items, dtype=np.int64),
            use=np.array([*[use] * items, np.eye(len(use))[0]]),
            owner=np.arange(items + 1),
            first=np.arange(items + 1),
            kinds_in=np.array([*[[1.0]] * items, [0.0]]),
            show=np.full((items + 1, len(BUCKETS)), show),
            book=book,
            loose=LooseUse(
                np.full(items, loose_daily),
                np.full(items, 1e9 * (loose_daily > 0)),
                np.array([[0.0, 1.0]] * items),
            ),
        )

    return build


@pytest.fixture(scope="session")
def today() -> date:
    return TODAY


@pytest.fixture(scope="session")
def shop() -> Callable[..., dict[str, pd.DataFrame]]:
    """The tables of a small invented shop; an argument replaces a table by its rows.

    Two services: a full set uses 2 files and 10 ml of remover, a tidy-up 1 file.
    """
    tables: dict[str, list[dict[str, Any]]] = {
        "items": [
            {"item": "file", "name": "paper file", "unit": "each"},
            {"item": "remover", "name": "remover", "unit": "ml", "dose": 5},
        ],
        "offers": [
            {"offer": "f50", "supplier": "near", "item": "file", "pack_size": 50, "price": "9.00"},
            {"offer": "r500", "supplier": "near", "item": "remover", "pack_size": 500, "price": 8},
        ],
        "suppliers": [{"supplier": "near", "name": "Near by", "lead_days": {2: 1.0}}],
        "set_ups": [
            {"service": "full", "item": "file", "quantity": 2},
            {"service": "full", "item": "remover", "quantity": 10},
            {"service": "tidy", "item": "file", "quantity": 1},
        ],
        "appointments": [
            {"visit": f"v{n:03d}", "service": "full", "starts_on": TODAY + timedelta(days=n % 10)}
            for n in range(20)
        ],
    }

    def build(**replaced: list[dict[str, Any]]) -> dict[str, pd.DataFrame]:
        return {name: pd.DataFrame(rows) for name, rows in {**tables, **replaced}.items()}

    return build


@pytest.fixture(scope="session")
def money() -> Callable[[str], Decimal]:
    return Decimal
