"""The steriliser: long and hot enough by the table, proven by its indicators, or not sterile."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from consumables.errors import Refused
from consumables.ledger.events import Event, Pouched, Treated, TreatmentStarted
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import LoadChecked, SentBack, SteriliserLoaded
from consumables.words import PieceState, Route

METHODS = ("steam-gravity", "steam-prevacuum", "dry-heat")
INDICATORS = ("changed", "not-changed")
RESULTS = ("passed", "failed")


@dataclass(frozen=True)
class Cycle:
    """One line of a published table; both temperatures as printed, since sources round."""

    method: str
    celsius: int
    fahrenheit: int
    minutes: int  # at that temperature
    dry_minutes: int  # afterwards, before a pouch may be touched
    source: str

    def degrees(self, scale: str) -> int:
        """Its temperature on the scale the dial is read on."""
        return self.celsius if scale == "C" else self.fahrenheit


_STEAM = "CDC guideline 2008, table 7 (wrapped instruments)"
_DRY = "dry-heat chart (JADA 1991); that CDC prints the same is from memory"
TABLE = (
    Cycle("steam-gravity", 121, 250, 30, 15, _STEAM),
    Cycle("steam-gravity", 132, 270, 15, 15, _STEAM),
    Cycle("steam-prevacuum", 132, 270, 4, 20, _STEAM),
    Cycle("dry-heat", 170, 340, 60, 0, _DRY),
    Cycle("dry-heat", 160, 320, 120, 0, _DRY),
    Cycle("dry-heat", 150, 300, 150, 0, _DRY),
)


def cycle_met(method: str, temperature: int, scale: str, minutes: int) -> Cycle:
    """The line of the table that this cycle meets; raises Refused, naming the table's figures."""
    lines = [line for line in TABLE if line.method == method]
    if not lines or scale not in ("C", "F"):
        raise Refused(
            f"The steriliser works by {', '.join(METHODS)}, and its dial is read in C or F."
        )
    met = [c for c in lines if temperature >= c.degrees(scale) and minutes >= c.minutes]
    if not met:
        asked = " or ".join(f"{c.minutes} min at {c.degrees(scale)} {scale}" for c in lines)
        raise Refused(
            f"{minutes} min at {temperature} {scale} is not enough for {method}: "
            f"{asked} ({lines[0].source})."
        )
    return min(met, key=lambda line: line.minutes)


def load(
    pieces: Sequence[PieceBalance], started: SteriliserLoaded, spore_failed: bool, now: datetime
) -> list[Event]:
    """A load goes in; nothing comes out before its minutes and its drying have run.

    Sterilising outranks the blood-level cycle, so what met blood may go in. A steriliser whose
    last spore test failed takes no load until a later one has passed (from memory: CDC guideline
    2008, out of service until its tests pass again).
    """
    met = cycle_met(started.method, started.temperature, started.scale, started.minutes)
    if spore_failed:
        raise Refused(
            "The last spore test failed: have the steriliser seen to, and read a passed test "
            "first. Until then disinfect by the label, or use other tools."
        )
    # In UTC: local time runs an hour twice when the clocks go back.
    ready_at = now.astimezone(UTC) + timedelta(minutes=started.minutes + met.dry_minutes)
    minutes, load_id = started.minutes, started.load_id
    return [
        started,
        *(
            TreatmentStarted(
                p.item_id, p.piece_id, Route.STERILISE, minutes, ready_at, True, load_id=load_id
            )
            for p in pieces
        ),
    ]


def unload(
    pieces: Iterable[PieceBalance],
    load_id: str,
    indicator: str,
    pouch_days: int | None,
    now: datetime,
) -> list[Event]:
    """A load comes out: sterile and pouched where its indicator changed, else back to the wash.

    A pouch keeps until it is torn, wet or opened (CDC guideline 2008), or for `pouch_days` where
    the book gives a number. Raises Refused while it is hot or wet. `now` is aware and local.
    """
    if indicator not in INDICATORS:
        raise Refused(f"Say what the indicator shows: {' or '.join(INDICATORS)}.")
    inside = [p for p in pieces if p.load_id == load_id and p.state is PieceState.IN_TREATMENT]
    early = max((p.ready_at for p in inside if p.ready_at and p.ready_at > now), default=None)
    if early is not None and indicator == "changed":
        left = -(-int((early - now).total_seconds()) // 60)
        raise Refused(
            f"{load_id} must run and dry {left} min more; opened early it is not sterile."
        )
    events: list[Event] = [LoadChecked(load_id, indicator)]
    if indicator != "changed":
        why = f"{load_id}: indicator did not change"
        return [*events, *(SentBack(p.item_id, p.piece_id, why) for p in inside)]
    for piece in inside:
        events.append(Treated(piece.item_id, piece.piece_id, f"sterilised in {load_id}"))
        events.append(Pouched(piece.item_id, piece.piece_id, keep_until(pouch_days, now.date())))
    return events


def keep_until(pouch_days: int | None, today: date) -> date | None:
    """The last good day of a pouch closed today, or None where it keeps until something happens."""
    return None if pouch_days is None else today + timedelta(days=pouch_days)


def pouch_past(piece: PieceBalance, today: date) -> bool:
    """Is this a ready piece whose dated pouch has had its days?"""
    ready = piece.state is PieceState.READY
    return ready and piece.keep_until is not None and today > piece.keep_until


def recall(pieces: Iterable[PieceBalance], load_ids: Iterable[str], why: str) -> list[Event]:
    """Everything of these loads that has not been used since goes back to the wash.

    It goes as if it had met blood: whatever it had met before that load may still be on it.
    """
    doubted = set(load_ids)
    waiting = (PieceState.READY, PieceState.IN_TREATMENT)
    return [
        SentBack(p.item_id, p.piece_id, why, blood_level=True)
        for p in pieces
        if p.load_id in doubted and p.state in waiting
    ]


def spore_test_due(last_taken: date | None, first_load: date | None, days: int) -> date | None:
    """The day the next spore test is due, or None before the first load.

    `days` is the book's (Minn. R. 2105.0377: at most 30). A steriliser never tested is due
    on the day of its first load.
    """
    if last_taken is not None:
        return last_taken + timedelta(days=days)
    return first_load
