"""The record an inspector may ask for: what went in the bin, what was washed, and by whom."""

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from small_shop import Clock

from consumables.closeout.service_card import ServiceCard
from consumables.desk.closing import card_for, close_visit, set_quantity
from consumables.desk.digests import digest
from consumables.desk.jars import mix_jar
from consumables.desk.opening import Desk
from consumables.desk.record_papers import in_words, record_sheet
from consumables.desk.recording import Period, discards, last_days, record, treatments
from consumables.desk.shelving import discard_expired
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.verdicts import tighten
from consumables.desk.washing import clean, take_out, treat
from consumables.errors import Refused
from consumables.reports.record import Section


def with_blood(card: ServiceCard) -> ServiceCard:
    return replace(card, contaminated=True)


def test_everything_binned_is_on_the_record_with_its_reason(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure", "pedicure")))
    discard_expired(desk)
    told = {(line.what, line.item, line.quantity, line.because) for line in _today(desk)}
    assert ("discarded", "board", 1, "used on one client") in told
    assert ("surface stripped", "strip", 1, "surface never serves twice") in told
    assert ("discarded", "board", 4, "past use-by") in told
    assert {line.who for line in _today(desk)} == {"AB"}


def test_an_undone_visit_is_not_on_the_record(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    undo(desk, not_used=True)
    assert _today(desk) == []


def test_what_was_done_outside_the_rules_is_on_the_record(
    desk: Desk, visit: Callable[..., str]
) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 60)
    close_visit(desk, card, already_done=True)
    (flag,) = flagged(desk)
    settle(desk, [flag.entry_id], "a box had not been written down")
    told = [(line.what, line.item, line.because) for line in _today(desk)]
    assert "used outside the rules" in {what for what, _, _ in told}
    assert told[-1] == ("settled", "board", "a box had not been written down")


def test_the_wash_is_on_the_record_with_its_minutes(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    mix_jar(desk, "concentrate", 1000, 64)
    clean(desk, ["nipper-01"])
    treat(desk, ["nipper-01"])
    lines = treatments(desk, last_days(desk, 1))
    assert [line.what for line in lines] == ["jar mixed", "cleaned", "in treatment"]
    assert "10 min" in lines[-1].detail


def test_another_day_shows_nothing(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    yesterday = desk.today() - timedelta(days=1)
    assert discards(desk, Period(yesterday, yesterday)) == []


def _today(desk: Desk):  # type: ignore[no-untyped-def]
    return discards(desk, last_days(desk, 1))


def test_the_record_stands_under_its_book_and_the_seal_of_the_ledger(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    head = record(desk, last_days(desk, 1)).head
    assert (head.book, head.edition) == (desk.book.title, desk.book.edition)
    assert head.partial is desk.book.partial
    assert head.retention_days == desk.book.parameters.retention_days
    assert (head.sealed_entry, head.digest) == (digest(desk).entry_id, digest(desk).digest)
    assert head.signed_by == "AB"


def test_a_contaminated_visit_stands_among_the_incidents(
    desk: Desk, visit: Callable[..., str], clock: Clock
) -> None:
    card = with_blood(card_for(desk, visit("manicure")))
    close_visit(desk, card)
    told = _section(desk, "contamination")
    assert told.lines[0].what == "contaminated"
    assert "still out" in {line.what for line in told.lines}
    mix_jar(desk, "concentrate", 1000, 64)
    clean(desk, ["nipper-01"])
    treat(desk, ["nipper-01"], blood_level=True)
    clock.passes(60)
    take_out(desk, ["nipper-01"])
    assert [line.what for line in _section(desk, "contamination").lines][-1] == "ready"


def test_a_client_stands_as_a_code_and_only_while_it_may_be_kept(
    desk: Desk, visit: Callable[..., str], clock: Clock
) -> None:
    close_visit(desk, card_for(desk, visit("manicure", client="c01")))
    today = last_days(desk, 1)
    assert {line.client for line in record(desk, today, ["discards"]).sections[0].lines} == {"c01"}
    clock.passes(60 * 24 * 1200)  # past the 1095 days, and nobody has purged anything
    lines = record(desk, today, ["discards"]).sections[0].lines
    assert {(line.visit_id, line.client) for line in lines} == {("v1", "")}


def test_a_rule_the_shop_made_stricter_stands_on_the_record(desk: Desk) -> None:
    tighten(desk, "nipper", "the spring rusts")
    (line,) = _section(desk, "rules").lines
    assert (line.what, line.item, line.because) == ("tightened", "nipper", "the spring rusts")


def test_the_visits_not_accounted_for_are_told_in_sentences(
    desk: Desk, visit: Callable[..., str]
) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 0)  # no fresh board
    close_visit(desk, card)
    gap = _section(desk, "gap")
    assert [(line.what, line.item, line.visit_id) for line in gap.lines] == [
        ("not on the card", "board", "v1")
    ]
    assert gap.said


def test_days_that_end_before_they_begin_are_refused(desk: Desk) -> None:
    today = desk.today()
    with pytest.raises(Refused, match="end .* before they begin"):
        record(desk, Period(today, today - timedelta(days=1)))


def test_the_sheet_holds_every_line_of_every_section(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure", "pedicure")))
    found = record(desk, last_days(desk, 1))
    rows = list(csv.DictReader(io.StringIO(record_sheet(found))))
    assert len(rows) == sum(len(section.lines) for section in found.sections)
    assert {row["section"] for row in rows} >= {"discards"}


def test_things_binned_in_one_go_are_one_row_of_the_paper(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    discards_on_paper = in_words(record(desk, last_days(desk, 1), ["discards"])).sections[0]
    ((when, who, what, things, why, of_visit),) = discards_on_paper.rows
    assert (when, who, what) == ("2026-03-04 12:00", "AB", "discarded, bin")
    assert things.replace("\u00a0", " ") == "1 × board; 2 × gloves"
    assert (why, of_visit) == ("used on one client", "v1 client c01")


def _section(desk: Desk, name: str) -> Section:
    (section,) = record(desk, last_days(desk, 1), [name]).sections
    return section


def test_units_of_two_lots_are_one_thing_on_the_paper(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, set_quantity(card_for(desk, visit("manicure")), 0, 5))  # 3 old and 2 new
    (section,) = in_words(record(desk, last_days(desk, 1), ["discards"])).sections
    assert "5\u00a0×\u00a0board;" in section.rows[0][3]


def test_an_incident_is_counted_once_however_many_lines_it_takes(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, with_blood(card_for(desk, visit("manicure"))))
    incidents = _section(desk, "contamination")
    assert (incidents.count, len(incidents.lines) > 1) == (1, True)
