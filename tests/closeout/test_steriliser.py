"""Loads against the published table; sources in tests/reference/wash_up_sources.md."""

import csv
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.closeout import steriliser
from consumables.closeout.steriliser import cycle_met, keep_until, pouch_past, spore_test_due
from consumables.errors import Refused
from consumables.ledger.events import Pouched, Treated
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import SentBack, SteriliserLoaded
from consumables.words import PieceState

ROWS = list(
    csv.DictReader((Path(__file__).parents[1] / "reference" / "steriliser_cycles.csv").open())
)
NINE = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
STARTED = SteriliserLoaded("load-0001", "steam-gravity", 121, "C", 30)
INSIDE = PieceBalance(
    "n1", "nipper", PieceState.IN_TREATMENT, ready_at=NINE, load_id="load-0001", blood_level=True
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['method']} {row['celsius']}")
@pytest.mark.parametrize("scale", ["C", "F"])
def test_every_line_of_the_table_is_enough_and_a_minute_or_degree_less_is_not(
    row: dict[str, str], scale: str
) -> None:
    degrees = int(row["celsius"] if scale == "C" else row["fahrenheit"])
    minutes = int(row["minutes"])
    met = cycle_met(row["method"], degrees, scale, minutes)
    assert (met.minutes, met.dry_minutes) == (minutes, int(row["dry_minutes"]))
    shortest = min(int(r["minutes"]) for r in ROWS if r["method"] == row["method"])
    if minutes == shortest:
        with pytest.raises(Refused, match="is not enough"):
            cycle_met(row["method"], 999, scale, minutes - 1)
    with pytest.raises(Refused, match=f"{minutes} min at {degrees} {scale}"):
        cycle_met(row["method"], degrees - 1, scale, minutes)


def test_both_figures_are_kept_as_printed_because_sources_round() -> None:
    # 340 F is 171.1 C; a rule elsewhere prints 350 F as 170 C (Iowa r. 641-22.5), truly 176.7 C.
    assert cycle_met("dry-heat", 340, "F", 60).celsius == 170
    assert cycle_met("dry-heat", 350, "F", 60).celsius == 170


@given(
    method=st.sampled_from(steriliser.METHODS),
    degrees=st.integers(0, 250),
    minutes=st.integers(1, 240),
    hotter=st.integers(0, 30),
    longer=st.integers(0, 60),
)
def test_longer_and_hotter_is_never_less_enough(
    method: str, degrees: int, minutes: int, hotter: int, longer: int
) -> None:
    try:
        cycle_met(method, degrees, "C", minutes)
    except Refused:
        return
    cycle_met(method, degrees + hotter, "C", minutes + longer)


def test_a_load_may_come_out_only_when_it_has_run_and_dried() -> None:
    cleaned = PieceBalance("n1", "nipper", PieceState.CLEANED)
    _, started = steriliser.load([cleaned], STARTED, False, NINE)
    assert getattr(started, "ready_at", None) == NINE + timedelta(minutes=30 + 15)
    with pytest.raises(Refused, match="must run and dry"):
        steriliser.unload([INSIDE], "load-0001", "changed", None, NINE - timedelta(minutes=1))


def test_after_a_failed_spore_test_nothing_goes_in() -> None:
    with pytest.raises(Refused, match="last spore test failed"):
        steriliser.load([], STARTED, True, NINE)


def test_an_indicator_that_did_not_change_makes_nothing_ready() -> None:
    events = steriliser.unload([INSIDE], "load-0001", "not-changed", None, NINE)
    assert [type(event) for event in events[1:]] == [SentBack]


def test_a_pouch_keeps_until_something_happens_or_for_the_days_of_the_book() -> None:
    assert keep_until(None, date(2026, 3, 4)) is None  # CDC: event-related
    assert keep_until(30, date(2026, 3, 4)) == date(2026, 4, 3)  # Iowa r. 641-22.5
    events = steriliser.unload([INSIDE], "load-0001", "changed", 30, NINE)
    assert [type(event) for event in events[1:]] == [Treated, Pouched]
    ready = PieceBalance("n1", "nipper", PieceState.READY, keep_until=date(2026, 4, 3))
    assert [pouch_past(ready, date(2026, 4, day)) for day in (3, 4)] == [False, True]


def test_a_spore_test_is_due_a_month_after_the_last_or_with_the_first_load() -> None:
    first = date(2026, 3, 1)
    assert spore_test_due(None, None, 30) is None
    assert spore_test_due(None, first, 30) == first
    assert spore_test_due(date(2026, 3, 4), first, 30) == date(2026, 4, 3)
