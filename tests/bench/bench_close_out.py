"""One close-out, from card to acknowledged entries and balances, beside raw sqlite3 writing the
same rows in one transaction at the same durability."""

import sqlite3
import statistics
import time
from pathlib import Path
from typing import Any

import pytest
from small_shop import put_in_book

from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import Desk
from consumables.desk.shelving import count

VISITS = 60
_ENTRIES = "SELECT * FROM entry WHERE job_key = ?"
_JOBS = "SELECT * FROM job WHERE job_key = ?"


@pytest.mark.bench
def test_a_close_out_costs_little_more_than_its_own_rows(desk: Desk, tmp_path: Path) -> None:
    count(desk, "board", 500)
    count(desk, "gloves", 500)
    for number in range(VISITS):
        put_in_book(desk, f"v{number}", ("manicure",))
    ours, rows = [], []
    for number in range(VISITS):
        card = card_for(desk, f"v{number}")
        if number % 2:  # both nippers soiled: the rest of the visits go without
            card = type(card)(card.visit_id, card.service_ids, card.lines[:1] + card.lines[2:])
        begun = time.perf_counter()
        receipt = close_visit(desk, card, already_done=True)
        ours.append(time.perf_counter() - begun)
        rows.append(_rows(desk, receipt.job_key))
    floor = [_raw(path_of(desk), tmp_path / "floor.db", job) for job in rows]
    ratio = statistics.median(ours) / statistics.median(floor)
    print(
        f"\nclose-out: {statistics.median(ours) * 1e3:.2f} ms, "
        f"raw sqlite3 {statistics.median(floor) * 1e3:.2f} ms, ratio {ratio:.2f} (goal 4)"
    )
    assert len(rows) == VISITS
    assert all(job["entry"] for job in rows)


def path_of(desk: Desk) -> str:
    return desk.store.location


def _rows(desk: Desk, job_key: str) -> dict[str, list[tuple[Any, ...]]]:
    """Every row that one job left: its entries, itself, and the balances it touched."""
    with sqlite3.connect(path_of(desk)) as found:
        entries = found.execute(_ENTRIES, (job_key,)).fetchall()
        lots = "SELECT lot.* FROM lot JOIN entry USING (lot_id) WHERE job_key = ? GROUP BY lot_id"
        pieces = lots.replace("lot", "piece")
        visits = "SELECT * FROM closed_visit WHERE job_key = ?"
        return {
            "entry": entries,
            "job": found.execute(_JOBS, (job_key,)).fetchall(),
            "lot": found.execute(lots, (job_key,)).fetchall(),
            "piece": found.execute(pieces, (job_key,)).fetchall(),
            "closed_visit": found.execute(visits, (job_key,)).fetchall(),
        }


def _raw(shop: str, floor: Path, job: dict[str, list[tuple[Any, ...]]]) -> float:
    if not floor.exists():
        _same_tables(shop, floor)
    connection = sqlite3.connect(floor, isolation_level=None)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("SELECT count(*) FROM shop").fetchone()
    begun = time.perf_counter()
    connection.execute("BEGIN IMMEDIATE")
    for table, rows in job.items():
        if rows:
            verb = "INSERT" if table in ("entry", "job") else "INSERT OR REPLACE"
            marks = ", ".join("?" * len(rows[0]))
            connection.executemany(f"{verb} INTO {table} VALUES ({marks})", rows)
    connection.execute("COMMIT")
    took = time.perf_counter() - begun
    connection.close()
    return took


def _same_tables(shop: str, floor: Path) -> None:
    with sqlite3.connect(shop) as source, sqlite3.connect(floor) as target:
        target.execute("PRAGMA journal_mode = WAL")
        query = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
        for (statement,) in source.execute(query).fetchall():
            target.execute(statement)
        for row in source.execute("SELECT * FROM shop"):
            target.execute(f"INSERT INTO shop VALUES ({', '.join('?' * len(row))})", row)
