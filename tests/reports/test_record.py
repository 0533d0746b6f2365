"""The record of a period in its sections, from plain ledger entries."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import get_args
from zoneinfo import ZoneInfo

from consumables.ledger import events as e
from consumables.ledger.events import Entry, Event
from consumables.reports import sink_words
from consumables.reports.record import ALL_KINDS, SINK, TITLES, Section, sections
from consumables.reports.record_lines import Told
from consumables.words import Category, Outcome, Route

NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
ZONE = ZoneInfo("America/Toronto")  # five hours behind at that date
# Stock, orders and use on a visit's card: the shelf and the reuse gap tell of them.
NOT_ON_THE_RECORD = {
    *(e.LotReceived, e.LotOpened, e.PieceTagged, e.UseRecorded, e.UsedLoose, e.SurfaceFitted),
    *(e.OrderPlaced, e.DeliveryReceived, e.OrderClosed),
}


def written(*events: Event, job: str = "") -> list[Entry]:
    """Entries a minute apart, each its own job unless one is named."""
    return [
        Entry(number, NOON + timedelta(minutes=number), "AB", job or f"job-{number}", event)
        for number, event in enumerate(events, start=1)
    ]


def told_of(entries: list[Entry], later: list[Entry] | None = None) -> dict[str, Section]:
    flagged = {x.entry_id: x for x in entries if isinstance(x.event, e.OutsideUseRecorded)}
    flagged |= {x.entry_id: x for x in entries if isinstance(x.event, e.StockCounted)}
    found = {
        x.event.entry_id: x
        for x in entries
        if isinstance(x.event, e.EntryCorrected) and x.event.how == "settled"
    }
    undone = {
        x.event.entry_id
        for x in entries
        if isinstance(x.event, e.EntryCorrected) and x.event.how == "reversed"
    }
    told = Told(str.upper, ZONE, flagged, found)
    return {section.name: section for section in sections(entries, later or [], undone, told)}


def lines(*events: Event) -> Iterator[tuple[str, str, str, str]]:
    for name, section in told_of(written(*events)).items():
        for line in section.lines:
            yield name, line.what, line.item, line.because


def test_every_thing_that_can_happen_is_on_the_record_or_is_stock_and_orders() -> None:
    assert set(get_args(Event)) - set(ALL_KINDS) == NOT_ON_THE_RECORD


def test_every_step_at_the_sink_has_its_word() -> None:
    assert [kind for kind in SINK if kind not in sink_words.WHAT] == []


def test_a_line_has_the_moment_of_the_shops_own_clock_and_the_initials() -> None:
    (line,) = told_of(written(e.Discarded("board", 1, "used on one client")))["discards"].lines
    assert (f"{line.at:%H:%M}", line.who) == ("07:01", "AB")


def test_a_blade_is_said_to_lie_in_the_sharps_box() -> None:
    entries = written(e.Discarded("blade", 1, "used on one client", Route.SHARPS, visit_id="v1"))
    (line,) = told_of(entries)["discards"].lines
    assert (line.where, line.visit_id) == ("sharps box", "v1")


def test_retired_pieces_jars_and_treatments_each_have_their_place() -> None:
    told = list(
        lines(
            e.SolutionMixed("quat", "jar-1", 64, 10, NOON),
            e.Cleaned("nipper", "nipper-01"),
            e.TreatmentStarted("nipper", "nipper-01", Route.IMMERSE, 10, NOON, jar_id="jar-1"),
            e.PieceRetired("nipper", "nipper-02", "rust"),
        )
    )
    assert [(name, what) for name, what, _, _ in told] == [
        ("solutions", "jar mixed"),
        ("retired", "retired"),
        ("treatments", "cleaned"),
        ("treatments", "in treatment"),
    ]


def test_a_contaminated_visit_is_followed_until_its_piece_is_ready_again() -> None:
    visit = written(
        e.VisitClosed("v1", Outcome.SERVED, ("manicure",), contaminated=True),
        e.Discarded("board", 1, "contaminated", visit_id="v1"),
        e.Soiled("nipper", "nipper-01", "v1", blood_level=True),
        job="the visit",
    )
    wash = [
        Entry(10 + number, NOON + timedelta(hours=number), "CD", f"wash-{number}", event)
        for number, event in enumerate(
            (
                e.Cleaned("nipper", "nipper-01"),
                e.TreatmentStarted("nipper", "nipper-01", Route.IMMERSE, 10, NOON, True),
                e.Cleaned("nipper", "nipper-02"),
                e.Treated("nipper", "nipper-01"),
                e.Cleaned("nipper", "nipper-01"),
            )
        )
    ]
    told = told_of(visit, later=wash)["contamination"].lines
    expected = "contaminated, discarded, to the wash, cleaned, in treatment, ready"
    assert ", ".join(line.what for line in told) == expected
    assert {line.visit_id for line in told} == {"v1"}


def test_a_piece_that_met_blood_and_never_came_out_is_said_to_be_still_out() -> None:
    entries = written(
        e.VisitClosed("v1", Outcome.SERVED, contaminated=True),
        e.Soiled("nipper", "nipper-01", "v1", blood_level=True),
        job="the visit",
    )
    assert told_of(entries)["contamination"].lines[-1].what == "still out"


def test_a_clean_visit_is_no_incident() -> None:
    assert list(lines(e.VisitClosed("v1", Outcome.SERVED))) == []


def test_a_use_outside_the_rules_stands_with_what_was_found() -> None:
    use = e.OutsideUseRecorded("glove", "v1", "manicure", 2, "none on the shelf")
    ((name, _, _, because),) = lines(use)
    assert (name, because) == (
        "outside",
        "none on the shelf; nobody has said yet what was found",
    )
    settled = list(lines(use, e.EntryCorrected(1, "settled", "an open box in the drawer")))
    assert settled[0][3].endswith("found on 2026-03-04 by AB: an open box in the drawer")
    assert settled[1] == ("outside", "settled", "GLOVE", "entry 1: an open box in the drawer")


def test_a_count_says_surplus_short_or_as_expected_and_by_how_many() -> None:
    counts = told_of(
        written(
            e.StockCounted("board", "lot-1", 12, 10, usable=10),
            e.StockCounted("board", "lot-2", 7, 10),
            e.StockCounted("board", "lot-3", 5, 5),
        )
    )["counts"].lines
    assert [(line.what, line.quantity) for line in counts] == [
        ("surplus", 2),
        ("short", 3),
        ("as expected", 0),
    ]
    assert "the surplus is held" in counts[0].because


def test_a_loosened_rule_says_what_it_stands_on_and_who_signed() -> None:
    signed = (Category.DISINFECTABLE, Route.IMMERSE, "sealed core", "board letter of 2026-02-03")
    loosened = e.VerdictLoosened("board", *signed, "AB", date(2026, 3, 4))
    told = list(
        lines(
            e.VerdictTightened("file", "splinters"),
            loosened,
            e.VerdictRestored("board", "the letter was withdrawn"),
            e.BookChosen("us-ohio", "Ohio", "2025-01-01"),
        )
    )
    assert [what for _, what, _, _ in told] == [
        "tightened",
        "loosened",
        "as the book",
        "book put in force",
    ]
    assert {name for name, _, _, _ in told} == {"rules"}
    assert "Stands on: board letter of 2026-02-03. Signed AB, 2026-03-04" in told[1][3]


def test_what_was_undone_is_gone_from_its_section_but_the_undoing_is_told() -> None:
    bin_it = written(e.Discarded("board", 1, "dropped"), e.Discarded("board", 2, "dropped"))
    undoing = [
        Entry(3, NOON, "CD", "undo", e.EntryCorrected(1, "reversed", "a slip")),
        Entry(4, NOON, "CD", "undo", e.EntryCorrected(2, "reversed", "a slip")),
    ]
    told = told_of([*bin_it, *undoing])
    assert told["discards"].lines == ()
    (line,) = told["ledger"].lines
    assert (line.what, line.quantity, line.because) == ("undone", 2, "entries 1 to 2: a slip")


def test_a_purge_and_an_older_copy_put_back_are_told() -> None:
    told = list(
        lines(
            e.ClientCodesPurged(NOON, 3),
            e.ShopRestored(118, "the disk failed"),
            e.LotDoubted("board", "lot-1"),
        )
    )
    assert [what for _, what, _, _ in told] == [
        "client codes purged",
        "older copy put back",
        "lot in doubt",
    ]


def test_an_empty_period_has_every_section_and_no_line() -> None:
    told = told_of([])
    assert list(told) == [name for name in TITLES if name != "gap"]
    assert not any(section.lines for section in told.values())
