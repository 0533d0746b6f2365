"""How long clients' codes are kept, and taking them off without losing a single count."""

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shop import CATALOGUE, NOON, Clock, fill, put_in_book

from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit, no_show
from consumables.desk.opening import Desk, open_desk
from consumables.desk.recording import Period, discards, record, treatments
from consumables.desk.retention import purge, reminder, retention
from consumables.desk.reuse_gap import reuse_gap
from consumables.desk.today import glance, visits_on
from consumables.desk.undoing import recent_jobs, undo
from consumables.errors import Refused
from consumables.ledger.events import ClientCodesPurged, PieceTagged

CODE = "kx71q"  # found nowhere else in a shop file
YEARS = 60 * 24 * 1100  # minutes; the strict majority keeps 1095 days


@pytest.fixture
def old(desk: Desk, visit: Callable[..., str], clock: Clock) -> Desk:
    """The test shop three years after one manicure."""
    close_visit(desk, card_for(desk, visit("manicure", client=CODE)))
    clock.passes(YEARS)
    return desk


def put_under(desk: Desk, book: str) -> None:
    """Another book in force, whatever it asks for."""
    with desk.store.writing() as session:
        session.write_settings(replace(desk.settings, rule_book=book))
    desk.forget()


def raw(desk: Desk) -> bytes:
    path = Path(desk.store.location)
    beside = [path.with_name(path.name + end) for end in ("", "-wal")]
    return b"".join(one.read_bytes() for one in beside if one.exists())


def test_retention_is_what_the_book_in_force_asks(desk: Desk) -> None:
    found = retention(desk)
    assert found.days == desk.book.parameters.retention_days == 1095
    assert found.first_kept == desk.today() - timedelta(days=1095)


def test_a_book_that_does_not_say_leaves_the_longest_time_known(desk: Desk) -> None:
    put_under(desk, "us-texas")
    assert desk.book.parameters.retention_days is None
    found = retention(desk)
    assert found.days == 1095
    assert "does not say" in found.says


def test_a_shop_may_keep_longer_and_never_shorter(desk: Desk) -> None:
    assert retention(desk, 2000).days == 2000
    with pytest.raises(Refused, match="1094 days is shorter"):
        retention(desk, 1094)


def test_a_code_past_retention_is_counted_and_purged(old: Desk) -> None:
    assert retention(old).visits_past == 1
    assert CODE.encode() in raw(old)
    purge(old)
    assert retention(old).visits_past == 0
    assert CODE.encode() not in raw(old)  # nor in the sentences of jobs, nor in the file's gaps


def test_what_may_still_be_kept_is_kept(old: Desk) -> None:
    put_in_book(old, "v2", ("manicure",), "c02")
    purge(old)
    (visit,) = visits_on(old)
    assert visit.client == "c02"


def test_the_last_day_that_is_kept_keeps_its_code(
    desk: Desk, visit: Callable[..., str], clock: Clock
) -> None:
    visit("manicure", client=CODE)
    clock.passes(60 * 24 * 1095)
    assert retention(desk).visits_past == 0
    clock.passes(60 * 24)
    assert retention(desk).visits_past == 1


def test_a_purge_stands_on_the_record_and_is_not_undone(old: Desk) -> None:
    receipt = purge(old)
    (line,) = record(old, Period(old.today(), old.today()), ["ledger"]).sections[0].lines
    assert (line.what, line.quantity, line.who) == ("client codes purged", 1, "AB")
    with pytest.raises(Refused, match="not undone"):
        undo(old, receipt.job_key)


def test_nothing_to_purge_writes_nothing(desk: Desk) -> None:
    before = recent_jobs(desk)
    assert "No visit" in purge(desk).sentence
    assert recent_jobs(desk) == before


def test_a_desk_that_holds_the_file_is_told_of(old: Desk) -> None:
    with open_desk(old.store.location, "CD") as other, other.store.reading() as session:
        session.jobs()
        assert any("purge again" in caution for caution in purge(old).cautions)
    assert not any("purge again" in caution for caution in purge(old).cautions)
    assert CODE.encode() not in raw(old)


def test_an_older_calendar_does_not_bring_a_purged_code_back(old: Desk) -> None:
    purge(old)
    with old.store.writing() as session:
        (visit,) = session.appointments(NOON - timedelta(days=1), NOON)
        change = session.write_appointments([replace(visit, client=CODE)], "test")
    assert change.same == 1
    assert retention(old).visits_past == 0


def test_a_copy_from_before_the_purge_opens_and_says_what_it_holds(
    old: Desk, clock: Clock, tmp_path: Path
) -> None:
    old.store.backup(tmp_path / "copy.db")
    purge(old)
    assert reminder(old) == ""
    with open_desk(str(tmp_path / "copy.db"), "AB", clock) as restored:
        assert check(restored) == []
        assert "1 visit before" in reminder(restored)
        purge(restored)
        assert reminder(restored) == ""


def test_a_kits_code_stays_in_the_ledger_and_is_said_to(desk: Desk, clock: Clock) -> None:
    with desk.store.writing() as session:
        kit = PieceTagged("nipper", "nipper-lot", "nipper-09", ready=True, client=CODE)
        session.append(desk.job("tag", "A kit."), [kit])
    clock.passes(YEARS)
    purge(desk)
    assert retention(desk).kits == ("nipper-09",)
    assert "keeps the kit from serving anybody else" in retention(desk).kit_stays
    assert check(desk) == []


Happening = tuple[int, str, tuple[str, ...], str]
VISITS = st.lists(
    st.tuples(
        st.integers(0, 1400),  # days after the first
        st.sampled_from(["served", "blood", "no-show", "open", "undone"]),
        st.sampled_from([("manicure",), ("lamp",), ("manicure", "lamp")]),
        st.sampled_from(["", "c01", "c02", "AB", "2"]),
    ),
    max_size=7,
)


@settings(max_examples=8, deadline=None)
@given(VISITS)
def test_no_report_counts_anything_differently_after_a_purge(visits: list[Happening]) -> None:
    nothing_is_lost(visits)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(VISITS)
def test_no_report_of_many_shops_counts_differently_after_a_purge(visits: list[Happening]) -> None:
    nothing_is_lost(visits)


def nothing_is_lost(visits: list[Happening]) -> None:
    with shop() as (desk, clock):
        for number, (day, ending, services, client) in enumerate(sorted(visits)):
            clock.at = NOON + timedelta(days=day, minutes=number)
            happened(desk, f"v{number}", ending, services, client)
        clock.at = NOON + timedelta(days=1401)
        before = reports(desk)
        purge(desk)
        assert reports(desk) == before
        assert check(desk) == []
        kept_from = retention(desk).first_kept
        left = {visit.client for visit in booked(desk) if visit.starts_at.date() < kept_from}
        assert left <= {""}


@contextmanager
def shop() -> Iterator[tuple[Desk, Clock]]:
    folder, clock = tempfile.mkdtemp(), Clock()
    try:
        with open_desk(f"{folder}/shop.db", "AB", clock, must_exist=False) as desk:
            fill(desk, CATALOGUE)
            yield desk, clock
    finally:
        shutil.rmtree(folder)


def happened(
    desk: Desk, visit_id: str, ending: str, services: tuple[str, ...], client: str
) -> None:
    put_in_book(desk, visit_id, services, client)
    if ending == "no-show":
        no_show(desk, visit_id)
    elif ending != "open":
        card = replace(card_for(desk, visit_id), contaminated=ending == "blood")
        close_visit(desk, card, already_done=True)
    if ending == "undone":
        undo(desk)


def booked(desk: Desk) -> list[Any]:
    with desk.store.reading() as session:
        return list(session.appointments(datetime(2026, 1, 1, tzinfo=UTC), desk.now()))


def reports(desk: Desk) -> list[object]:
    """Everything that is counted anywhere; what the purge itself adds, and codes, left aside."""
    period = Period(date(2026, 1, 1), desk.today())
    sections = [
        [replace(line, client="") for line in section.lines]
        for section in record(desk, period).sections
        if section.name != "ledger"
    ]
    with desk.store.reading() as session:
        tables = session.frames(desk.settings.zone, desk.now())
        others = [
            entry for entry in session.read() if not isinstance(entry.event, ClientCodesPurged)
        ]
    days = [replace(visit, client="") for day in (0, 700, 1400) for visit in _day(desk, day)]
    return [
        sections,
        discards(desk, period),
        treatments(desk, period),
        reuse_gap(desk, period),
        glance(desk),
        [table.to_dict() for table in vars(tables).values()],
        others,
        days,
    ]


def _day(desk: Desk, days: int) -> list[Any]:
    return visits_on(desk, NOON.date() + timedelta(days=days))
