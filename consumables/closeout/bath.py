"""A bath is shared: whatever is added to it starts the clock anew for everything in it."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from consumables.errors import Refused
from consumables.ledger.events import Event, TreatmentStarted
from consumables.ledger.marks import JarMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import ClockRestarted, UltrasonicCleaned
from consumables.words import PieceState, Route

# N.J.A.C. 13:28-3.2: ten minutes, or the maker's time.
ULTRASONIC_MINUTES = 10


def put_in(
    pieces: Sequence[PieceBalance],
    jar: JarMark | None,
    lying: Iterable[PieceBalance],
    minutes: int,
    now: datetime,
    blood_level: bool = False,
) -> list[Event]:
    """Pieces go under; `lying` are those in the jar already, and their clock runs anew.

    The restart is the label's practice (EPA: wet for the whole time; a tool that is added brings
    soil and thins the solution). Raises Refused where the jar is missing, stale or not meant for
    disinfecting. `now` is aware.
    """
    fresh = fresh_or_refused(jar, now, "disinfect")
    # In UTC: local time runs an hour twice when the clocks go back.
    ready_at = now.astimezone(UTC) + timedelta(minutes=minutes)
    added = ", ".join(piece.piece_id for piece in pieces)
    started: list[Event] = [
        TreatmentStarted(
            p.item_id, p.piece_id, Route.IMMERSE, minutes, ready_at, blood_level, fresh.jar_id
        )
        for p in pieces
    ]
    anew = [
        ClockRestarted(p.item_id, p.piece_id, fresh.jar_id, ready_at, added)
        for p in in_jar(fresh.jar_id, lying)
    ]
    return [*started, *anew]


def in_jar(jar_id: str, pieces: Iterable[PieceBalance]) -> list[PieceBalance]:
    """Those of the pieces that lie in this jar."""
    return [p for p in pieces if p.jar_id == jar_id and p.state is PieceState.IN_TREATMENT]


def ultrasonic(
    pieces: Iterable[PieceBalance], jar: JarMark | None, minutes: int, now: datetime
) -> list[Event]:
    """Cleaned pieces ran in the ultrasonic bath; it cleans only, disinfection follows.

    Its bath is changed at least daily (N.J.A.C. 13:28-3.2), so it is mixed and dated like a jar.
    """
    if minutes < 1:
        raise Refused("Say how many minutes the ultrasonic bath ran.")
    bath = fresh_or_refused(jar, now, "ultrasonic")
    return [UltrasonicCleaned(p.item_id, p.piece_id, minutes, bath.jar_id) for p in pieces]


def may_be_emptied(jar_id: str, pieces: Iterable[PieceBalance]) -> None:
    """A jar is emptied when nothing lies in it any more; raises Refused and names what does."""
    if lying := in_jar(jar_id, pieces):
        names = ", ".join(piece.piece_id for piece in lying)
        raise Refused(
            f"{names} lies in {jar_id}: take out what has had its time, send back to the sink "
            "what has not, then empty it."
        )


def fresh_or_refused(jar: JarMark | None, now: datetime, purpose: str) -> JarMark:
    """The jar, where there is one that is fresh and meant for this."""
    if jar is None or jar.purpose != purpose:
        raise Refused(_NONE[purpose])
    if now > jar.change_by:
        raise Refused(
            f"Jar {jar.jar_id} was to be changed by {jar.change_by:%Y-%m-%d %H:%M}: "
            "empty it, mix and date a fresh one."
        )
    return jar


_NONE = {
    "disinfect": "There is no jar of disinfectant in use: mix and date a fresh one first.",
    "ultrasonic": "There is no ultrasonic bath in use: mix and date one for it first.",
}
