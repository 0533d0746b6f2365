"""Foot basins by 16 CCR 980.1 and 980.2, and what an inspection leads to."""

from datetime import date

import pytest

from consumables.closeout.basins import BasinEntry, cleaned, overdue
from consumables.closeout.inspection import FINDINGS, look_over
from consumables.errors import Refused
from consumables.items.wear import after_inspection
from consumables.ledger.events import PieceRetired
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import Inspected, SentBack
from consumables.words import PieceState

NIPPER = PieceBalance("n1", "nipper", PieceState.READY)


def test_a_basin_disinfected_shorter_than_it_must_be_is_not_written_down() -> None:
    assert cleaned("concentrate", "left", "after-client", 10, 10).minutes == 10
    with pytest.raises(Refused, match="must stand or run 10 min"):
        cleaned("concentrate", "left", "after-client", 9, 10)


def test_a_basin_that_served_yesterday_and_was_not_closed_is_told() -> None:
    log = [BasinEntry("left", "after-client", date(2026, 3, 3))]
    assert overdue(log, date(2026, 3, 3)) == []
    assert overdue(log, date(2026, 3, 4)) == [
        "Basin left: no end-of-day cleaning since 2026-03-03."
    ]
    log.append(BasinEntry("left", "end-of-day", date(2026, 3, 3)))
    assert overdue(log, date(2026, 3, 4)) == []


def test_the_weekly_cleaning_is_due_seven_days_after_the_last() -> None:
    log = [BasinEntry("left", "weekly", date(2026, 3, 3))]
    assert overdue(log, date(2026, 3, 10)) == []
    assert overdue(log, date(2026, 3, 11)) == [
        "Basin left: its weekly cleaning was due on 2026-03-10."
    ]


@pytest.mark.parametrize("found", FINDINGS)
def test_every_finding_on_the_list_leads_somewhere_and_names_its_place(found: str) -> None:
    after = after_inspection(found)
    assert after.retire != after.reprocess
    assert after.cites


@pytest.mark.parametrize(
    ("found", "kinds"),
    [
        ("rust at the joint", [Inspected, PieceRetired]),  # N.J.A.C. 13:28-3.2
        ("varnish is peeling", [Inspected, PieceRetired]),  # Toronto
        ("the tip is bent", [Inspected, PieceRetired]),  # common practice, no source
        ("pouch torn", [Inspected, SentBack]),  # CDC, event-related
        ("no rust", [Inspected]),
        ("", [Inspected]),
    ],
)
def test_what_is_seen_is_written_down_and_what_follows_with_it(
    found: str, kinds: list[type]
) -> None:
    events = look_over(NIPPER, found)
    assert [type(event) for event in events] == kinds


def test_a_piece_is_retired_with_the_place_that_says_so() -> None:
    _, retired = look_over(NIPPER, "pitting")
    assert retired == PieceRetired("nipper", "n1", "pitting (N.J.A.C. 13:28-3.2)")
