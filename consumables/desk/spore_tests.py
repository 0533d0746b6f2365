"""The steriliser's spore tests: taken, waited for, read; a failed one calls its loads back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from consumables.closeout import steriliser
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.items.cautions import cautions_at
from consumables.ledger.events import Entry, EntryCorrected, Event, TreatmentStarted
from consumables.ledger.fold import standing
from consumables.ledger.wash_events import (
    LoadChecked,
    SporeTestRead,
    SporeTestTaken,
    SteriliserLoaded,
)
from consumables.store.shop_store import Session
from consumables.words import PieceState

_LOG = (SteriliserLoaded, LoadChecked, SporeTestTaken, SporeTestRead, EntryCorrected)


@dataclass(frozen=True)
class SporeTest:
    """One biological test of the steriliser."""

    test_id: str
    taken_at: datetime  # shop's zone
    result: str  # passed | failed | pending


def spore_tests(desk: Desk) -> list[SporeTest]:
    """Every spore test, newest first."""
    with desk.store.reading() as session:
        return tests_in(desk, steriliser_log(session))


def overdue(desk: Desk) -> str:
    """A sentence where a spore test is overdue or failed, else nothing."""
    with desk.store.reading() as session:
        log = steriliser_log(session)
    tests = tests_in(desk, log)
    if last_failed(tests):
        return "The last spore test failed: the steriliser takes no load until a test has passed."
    due = _due(desk, log, tests)
    if due is None or due >= desk.today():
        return ""
    return f"A spore test of the steriliser was due on {due:%a %d %b}."


def take_spore_test(desk: Desk) -> Receipt:
    """A spore test ran in the steriliser; its result is waited for."""
    name = f"spore-{desk.now():%Y%m%d-%H%M}"

    def decide(session: Session) -> list[Event]:
        if any(test.test_id == name for test in tests_in(desk, steriliser_log(session))):
            raise Refused(f"{name} is written down already.")
        return [SporeTestTaken(name)]

    return desk.do("spore-test", f"{name} taken; its result is waited for.", decide)


def read_spore_test(desk: Desk, test_id: str, result: str) -> Receipt:
    """What a spore test showed; a failed one calls back every load since the last passed test.

    Pieces that were used on clients after such a load are named, for the person in charge.
    """
    if result not in steriliser.RESULTS:
        raise Refused(f"A spore test has one of these results: {', '.join(steriliser.RESULTS)}.")
    used: list[str] = []

    def decide(session: Session) -> list[Event]:
        log = steriliser_log(session)
        test = _pending_or_refused(tests_in(desk, log), test_id)
        events: list[Event] = [SporeTestRead(test_id, result)]
        if result == "failed":
            doubted = _loads_since_last_pass(desk, log, test.taken_at)
            called_back = steriliser.recall(session.pieces(), doubted, f"{test_id} failed")
            events += called_back
            used.extend(_used_since(session, doubted, {_piece(event) for event in called_back}))
        return events

    if result == "passed":
        return desk.do("spore-result", f"{test_id} passed.", decide)
    sentence = f"{test_id} failed: what its loads made ready goes back to the wash."
    receipt = desk.do("spore-result", sentence, decide)
    flagged = tuple(f"{piece} left the shelf after such a load" for piece in used)
    return Receipt(receipt.job_key, sentence, flagged=flagged, cautions=cautions_at("spore-test"))


def steriliser_log(session: Session) -> list[Entry]:
    """Loads, their indicators and spore tests that still count, oldest first."""
    return standing(session.read(kinds=_LOG))


def tests_in(desk: Desk, log: Sequence[Entry]) -> list[SporeTest]:
    """The spore tests of a log, newest first."""
    results = {e.event.test_id: e.event.result for e in log if isinstance(e.event, SporeTestRead)}
    return [
        SporeTest(
            event.test_id, entry.at.astimezone(desk.zone), results.get(event.test_id, "pending")
        )
        for entry in reversed(log)
        if isinstance(event := entry.event, SporeTestTaken)
    ]


def last_failed(tests: Iterable[SporeTest]) -> bool:
    """Did the newest test that was read fail?"""
    return next((test.result == "failed" for test in tests if test.result != "pending"), False)


def _loads_since_last_pass(desk: Desk, log: Sequence[Entry], failed_at: datetime) -> list[str]:
    tests = tests_in(desk, log)
    passed = [t.taken_at for t in tests if t.result == "passed" and t.taken_at < failed_at]
    since = max(passed, default=None)
    return [
        entry.event.load_id
        for entry in log
        if isinstance(entry.event, SteriliserLoaded) and (since is None or entry.at > since)
    ]


def _used_since(session: Session, load_ids: Iterable[str], called_back: set[str]) -> list[str]:
    doubted = set(load_ids)
    retired = {p.piece_id for p in session.pieces() if p.state is PieceState.RETIRED}
    was_in = {
        entry.event.piece_id
        for entry in standing(session.read(kinds=[TreatmentStarted, EntryCorrected]))
        if isinstance(entry.event, TreatmentStarted) and entry.event.load_id in doubted
    }
    return sorted(was_in - called_back - retired)


def _piece(event: Event) -> str:
    return str(getattr(event, "piece_id", ""))


def _pending_or_refused(tests: Sequence[SporeTest], test_id: str) -> SporeTest:
    found = {test.test_id: test for test in tests}
    if test_id not in found:
        raise NotFound(f"No spore test {test_id} was taken; `consumables steriliser` lists them.")
    if found[test_id].result != "pending":
        raise Refused(f"{test_id} was read already: {found[test_id].result}.")
    return found[test_id]


def _due(desk: Desk, log: Iterable[Entry], tests: Sequence[SporeTest]) -> date | None:
    days = desk.book.parameters.spore_test_days
    if days is None:
        return None
    started = [e.at for e in log if isinstance(e.event, SteriliserLoaded)]
    first = min(started).astimezone(desk.zone).date() if started else None
    last = tests[0].taken_at.date() if tests else None
    return steriliser.spore_test_due(last, first, days)
