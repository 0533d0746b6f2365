"""The steriliser's loads: numbered, long and hot enough by the table, proven by an indicator."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from consumables.closeout import steriliser
from consumables.closeout.steriliser import TABLE, Cycle
from consumables.desk.opening import Desk, Receipt
from consumables.desk.spore_tests import last_failed, overdue, steriliser_log, tests_in
from consumables.desk.washing import by_route, named
from consumables.errors import NotFound, Refused
from consumables.items.cautions import cautions_at
from consumables.ledger.events import Event
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import LoadChecked, SteriliserLoaded
from consumables.store.shop_store import Session
from consumables.words import Route, counted


@dataclass(frozen=True)
class Load:
    """One load of the steriliser."""

    load_id: str
    started_at: datetime  # shop's zone
    method: str
    temperature: int
    scale: str  # C | F
    minutes: int
    indicator: str  # changed | not-changed | running
    pieces: tuple[str, ...]  # what it holds, or made sterile and nobody has used yet


def cautions() -> tuple[str, ...]:
    """What to mind at the steriliser."""
    return cautions_at("sterilising")


def loads(desk: Desk, newest: int = 30) -> list[Load]:
    """The latest loads, newest first."""
    with desk.store.reading() as session:
        log, pieces = steriliser_log(session), session.pieces()
    shown = {e.event.load_id: e.event.indicator for e in log if isinstance(e.event, LoadChecked)}
    held: dict[str, list[str]] = {}
    for piece in pieces:
        held.setdefault(piece.load_id, []).append(piece.piece_id)
    return [
        Load(
            event.load_id,
            entry.at.astimezone(desk.zone),
            event.method,
            event.temperature,
            event.scale,
            event.minutes,
            shown.get(event.load_id, "running"),
            tuple(held.get(event.load_id, ())),
        )
        for entry in reversed(log)
        if isinstance(event := entry.event, SteriliserLoaded)
    ][:newest]


def start_load(
    desk: Desk,
    piece_ids: Sequence[str],
    method: str,
    temperature: int,
    minutes: int,
    scale: str = "C",
) -> Receipt:
    """Cleaned pieces in their pouches go into the steriliser as one numbered load.

    Raises Refused where the cycle is shorter or cooler than the published table, and while the
    last spore test stands failed.
    """
    told: list[str] = []

    def decide(session: Session) -> list[Event]:
        pieces = named(session, piece_ids)
        _all_sterilised(desk, pieces)
        number = 1 + len(session.read(kinds=[SteriliserLoaded]))
        started = SteriliserLoaded(f"load-{number:04d}", method, temperature, scale, minutes)
        told.append(started.load_id)
        failed = last_failed(tests_in(desk, steriliser_log(session)))
        return steriliser.load(pieces, started, failed, desk.now())

    cycle = f"{method}, {minutes} min at {temperature} {scale}"
    sentence = f"{counted(len(piece_ids), 'piece')} into the steriliser: {cycle}."
    receipt = desk.do("load", sentence, decide)
    late = (said,) if (said := overdue(desk)) else ()
    return Receipt(receipt.job_key, f"{told[0]}: {sentence}", cautions=(*cautions(), *late))


def usual_cycles(desk: Desk) -> list[Cycle]:
    """The cycles of the published table, the one this shop ran last first."""
    last = next(iter(loads(desk, 1)), None)
    return sorted(TABLE, key=lambda cycle: last is None or not _ran(cycle, last))


def unload(desk: Desk, load_id: str, indicator: str) -> Receipt:
    """A load comes out: its indicator changed and the pieces are ready in their pouches, or it
    did not and they go back to the wash."""

    def decide(session: Session) -> list[Event]:
        _running_or_refused(session, load_id)
        days = desk.book.parameters.pouch_days
        return steriliser.unload(session.pieces(), load_id, indicator, days, desk.now())

    went = "ready in their pouches" if indicator == "changed" else "back to the wash"
    return desk.do("unload", f"{load_id} out, indicator {indicator}: pieces {went}.", decide)


def _ran(cycle: Cycle, load: Load) -> bool:
    same = cycle.method == load.method and cycle.minutes == load.minutes
    return same and cycle.degrees(load.scale) == load.temperature


def _running_or_refused(session: Session, load_id: str) -> None:
    log = steriliser_log(session)
    started = {e.event.load_id for e in log if isinstance(e.event, SteriliserLoaded)}
    out = {e.event.load_id for e in log if isinstance(e.event, LoadChecked)}
    if load_id not in started:
        raise NotFound(f"There is no load {load_id}; `consumables steriliser` lists them.")
    if load_id in out:
        raise Refused(f"{load_id} came out already.")


def _all_sterilised(desk: Desk, pieces: Sequence[PieceBalance]) -> None:
    routes = by_route(desk, pieces)
    # What a rule book only wants immersed may be sterilised all the same (16 CCR 979): not wiped.
    others = [p for route in routes if route not in _MAY_BE_STERILISED for p in routes[route]]
    if others:
        names = ", ".join(piece.piece_id for piece in others)
        raise Refused(f"{names}: heat or steam is not its route; it would be spoilt.")


_MAY_BE_STERILISED = (Route.STERILISE, Route.IMMERSE)
