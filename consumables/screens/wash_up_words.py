"""How the wash-up is worded: states, next steps, minutes left, jars and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import ceil
from typing import TYPE_CHECKING

from consumables.screens.widgets.rows import Column, Row, Word
from consumables.words import counted

if TYPE_CHECKING:
    from consumables.desk.jars import Jar
    from consumables.desk.washing import WashPiece

COLUMNS = (
    Column("state", 16),
    Column("next", 12, from_width=50),
    Column("item", stretch=True),
    Column("piece", 20, from_width=60),
    Column("how", 11, from_width=96),
    Column("uses", 4, right=True, from_width=96),
)
TONES = {
    "soiled": "act",
    "cleaned": "act",
    "in-treatment": "wait",
    "ready": "good",
    "retired": "quiet",
}
WORN = ("rust", "pitted", "blunt", "bent tip", "broken", "lost", "past its uses")
NO_JAR = "No jar in use: m mixes and dates one."
STEPS = (
    ("clean", "to clean"),
    ("treat", "to treat"),
    ("load", "to load"),
    ("wait", "wet"),
    ("take out", "to take out"),
    ("unload", "to unload"),
    ("again", "past its pouch"),
)


def piece_row(piece: WashPiece, now: datetime) -> Row:
    """One piece on its way round the sink."""
    state = f"{piece.state} BLOOD" if piece.blood_level else str(piece.state)
    return Row(
        piece.piece_id,
        (
            Word(state, TONES[piece.state]),
            _next(piece, now),
            piece.name,
            piece.piece_id,
            str(piece.route),
            str(piece.uses),
        ),
    )


def seconds_left(piece: WashPiece, now: datetime) -> int:
    """Seconds still to stay wet; 0 when nothing is running or the time is up."""
    if piece.state != "in-treatment" or piece.ready_at is None:
        return 0
    return max(0, ceil((piece.ready_at - now).total_seconds()))


def jar_words(jar: Jar) -> str:
    """One jar on one line."""
    state = "EMPTY IT NOW" if jar.stale else "in use"
    kind = "ultrasonic " if jar.purpose == "ultrasonic" else ""
    holds = f", {len(jar.holds)} in it" if jar.holds else ""
    return (
        f"{state}: {kind}{jar.name} 1:{jar.parts_water:g}, {jar.contact_minutes} min, "
        f"change by {jar.change_by:%a %H:%M}{holds}"
    )


def jar_lines(jars: Sequence[Jar], overdue: Sequence[str]) -> str:
    """What is late, then the jars in use, a line each."""
    late = [f"LATE  {sentence}" for sentence in overdue]
    first, *others = [jar_words(jar) for jar in jars] or [NO_JAR]
    return "\n".join([*late, f"JARS  {first}", *(f"      {jar}" for jar in others)])


def count_line(pieces: Sequence[WashPiece], marked: int) -> str:
    """How many are at which step."""
    counts = [(sum(p.next_step == step for p in pieces), words) for step, words in STEPS]
    told = [f"{number} {words}" for number, words in counts if number]
    if marked:
        told.append(f"{marked} marked")
    return " | ".join(told) or "Nothing waits at the sink."


def beside(piece: WashPiece | None, said: Sequence[str]) -> str:
    """The highlighted piece in words, and the cautions of the sink."""
    cautions = "\n".join(said)
    if piece is None:
        return cautions
    blood = " Met blood or broken skin: b, not t." if piece.blood_level else ""
    return (
        f"{piece.piece_id}: {piece.state}, then {piece.route}; "
        f"{counted(piece.uses, 'use')}.{blood}{_where(piece)}\n{cautions}"
    )


def _where(piece: WashPiece) -> str:
    lies = f" In {piece.jar_id}." if piece.jar_id else ""
    load = f" {piece.load_id.capitalize()}." if piece.load_id else ""
    pouch = f" Pouch good until {piece.keep_until:%d %b %Y}." if piece.keep_until else ""
    ready = f" Ready at {piece.ready_at:%H:%M}." if piece.ready_at else ""
    return lies + load + pouch + ready


def _next(piece: WashPiece, now: datetime) -> Word:
    if piece.next_step == "-":
        return Word("-", "quiet")
    left = seconds_left(piece, now)
    if left:
        doing = "in" if piece.load_id else "wet"
        return Word(f"{doing} {left // 60}:{left % 60:02d}", "wait")
    over = "unload" if piece.load_id else "take out"
    return Word(over if piece.next_step == "wait" else piece.next_step, "act")
