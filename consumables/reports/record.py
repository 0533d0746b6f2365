"""The record in its sections: what was binned, washed, mixed and counted, and what went wrong."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from consumables.ledger.events import (
    BookChosen,
    ClientCodesPurged,
    Discarded,
    Entry,
    EntryCorrected,
    LotDoubted,
    OutsideUseRecorded,
    ShopRestored,
    StockCounted,
    SurfaceStripped,
    VerdictLoosened,
    VerdictRestored,
    VerdictTightened,
    VisitClosed,
)
from consumables.ledger.fold import reversal_of
from consumables.ledger.wash_events import PieceRetired, Soiled, Treated, WashEvent
from consumables.reports.record_lines import (
    CONTAMINATED,
    OUTSIDE,
    RecordLine,
    Told,
    about_the_record,
    closed_contaminated,
    counted,
    discarded,
    outside,
    ruled,
    settled,
    soiled,
    washed,
)

Builder = Callable[[RecordLine, Entry, Told], RecordLine]
Kinds = tuple[type[Any], ...]

SINK: Kinds = tuple(kind for kind in get_args(WashEvent) if kind not in (Soiled, PieceRetired))
_JARS: Kinds = tuple(
    kind
    for kind in SINK
    if "jar_id" in kind.__dataclass_fields__ and "piece_id" not in kind.__dataclass_fields__
)
TREATMENTS: Kinds = tuple(kind for kind in SINK if kind not in _JARS)
# Section -> heading. What went wrong comes first and what is long comes last, because a paper of
# months is leafed through at a counter.
TITLES = {
    "contamination": "Contamination, and what followed",
    "outside": "Used outside the rules, and what was found",
    "rules": "Rules made stricter or looser",
    "counts": "Stock counted",
    "gap": "Visits not accounted for",
    "ledger": "What was done to the record itself",
    "solutions": "Solutions mixed and thrown out",
    "retired": "Pieces retired",
    "treatments": "Cleaned, disinfected, sterilised",
    "discards": "Discarded, and surfaces stripped",
}
_KINDS: dict[str, tuple[Kinds, Builder]] = {
    "discards": ((Discarded, SurfaceStripped), discarded),
    "retired": ((PieceRetired,), discarded),
    "treatments": (TREATMENTS, washed),
    "solutions": (_JARS, washed),
    "outside": ((OutsideUseRecorded,), outside),
    "rules": ((VerdictTightened, VerdictLoosened, VerdictRestored, BookChosen), ruled),
    "counts": ((StockCounted,), counted),
    "ledger": ((ClientCodesPurged, ShopRestored, LotDoubted), about_the_record),
}
_SECTION_OF = {kind: (name, build) for name, (kinds, build) in _KINDS.items() for kind in kinds}
# Sections in which one thing takes several lines, with the word that its first line begins with.
_OPENING = {"contamination": CONTAMINATED, "outside": OUTSIDE}
# What the record is read from; anything else in the ledger is stock and orders.
ALL_KINDS: Kinds = (*_SECTION_OF, Soiled, VisitClosed, EntryCorrected)
FLAGGED: Kinds = (OutsideUseRecorded, StockCounted, EntryCorrected)
STILL_OUT = "still out"
AFTERMATH: Kinds = (*TREATMENTS, PieceRetired)


@dataclass(frozen=True)
class Section:
    """One part of the record; lines by time."""

    name: str
    title: str
    lines: tuple[RecordLine, ...]
    said: tuple[str, ...] = ()  # what the lines come to, in sentences

    @property
    def count(self) -> int:
        """How many of what it is about: lines, or incidents where one takes several lines."""
        opening = _OPENING.get(self.name)
        return sum(opening is None or line.what == opening for line in self.lines)


def sections(
    entries: Sequence[Entry], later: Sequence[Entry], undone: set[int], told: Told
) -> list[Section]:
    """The record of a period from its entries, oldest first.

    `later` are wash-up entries after the period: what followed a contamination may end there.
    """
    standing = [e for e in entries if e.entry_id not in undone and reversal_of(e) is None]
    after = [e for e in later if e.entry_id not in undone]
    lines = [
        *_plain(standing, told),
        *_contamination(standing, after, told),
        *_undone(entries, told),
    ]
    return [
        Section(name, title, tuple(line for line in lines if line.section == name))
        for name, title in TITLES.items()
        if name != "gap"
    ]


def _plain(standing: Iterable[Entry], told: Told) -> Iterator[RecordLine]:
    for entry in standing:
        if (place := _SECTION_OF.get(type(entry.event))) is not None:
            name, build = place
            yield build(_begun(name, entry, told), entry, told)
        elif isinstance(entry.event, EntryCorrected) and entry.event.entry_id in told.flagged:
            flagged = told.flagged[entry.event.entry_id].event
            name, _ = _SECTION_OF[type(flagged)]
            yield settled(_begun(name, entry, told), entry, told)


def _undone(entries: Iterable[Entry], told: Told) -> Iterator[RecordLine]:
    """One line for each job that was undone, not one for each of its entries."""
    jobs: dict[str, list[Entry]] = {}
    for entry in entries:
        if reversal_of(entry) is not None:
            jobs.setdefault(entry.job_key, []).append(entry)
    for job in jobs.values():
        line = about_the_record(_begun("ledger", job[0], told), job[0], told)
        if len(job) > 1:
            first, last = reversal_of(job[0]), reversal_of(job[-1])
            event: Any = job[0].event
            line = replace(line, because=f"entries {first} to {last}: {event.because}")
        yield replace(line, quantity=len(job))


def _contamination(
    standing: Sequence[Entry], after: Sequence[Entry], told: Told
) -> Iterator[RecordLine]:
    for entry in standing:
        if isinstance(entry.event, VisitClosed) and entry.event.contaminated:
            visit = entry.event.visit_id
            line = _begun("contamination", entry, told)
            yield closed_contaminated(line, entry, told)
            same = [e for e in standing if e.job_key == entry.job_key]
            found = [*_gone(same, told), *_pieces(same, [*standing, *after], told)]
            for one in sorted(found, key=_by_time):
                yield replace(one, visit_id=visit)


def _by_time(line: RecordLine) -> tuple[bool, int]:
    return line.what == STILL_OUT, line.entry_id or 0


def _gone(same_job: Iterable[Entry], told: Told) -> Iterator[RecordLine]:
    for entry in same_job:
        if isinstance(entry.event, Discarded | SurfaceStripped):
            yield discarded(_begun("contamination", entry, told), entry, told)


def _pieces(
    same_job: Iterable[Entry], followed: Sequence[Entry], told: Told
) -> Iterator[RecordLine]:
    """Each piece that met it, from the wash until it is ready again or retired."""
    for entry in same_job:
        if isinstance(entry.event, Soiled):
            line = _begun("contamination", entry, told)
            yield soiled(line, entry, told)
            done = False
            for step in _steps(entry, followed):
                build = discarded if isinstance(step.event, PieceRetired) else washed
                yield build(_begun("contamination", step, told), step, told)
                done = isinstance(step.event, Treated | PieceRetired)
            if not done:
                because = "no entry says that it is ready again"
                yield replace(soiled(line, entry, told), what=STILL_OUT, because=because)


def _steps(soiling: Entry, followed: Sequence[Entry]) -> Iterator[Entry]:
    event: Any = soiling.event
    for entry in followed:
        if entry.entry_id <= soiling.entry_id or not isinstance(entry.event, AFTERMATH):
            continue
        if getattr(entry.event, "piece_id", "") == event.piece_id:
            yield entry
            if isinstance(entry.event, Treated | PieceRetired):
                return


def _begun(section: str, entry: Entry, told: Told) -> RecordLine:
    return RecordLine(entry.entry_id, section, entry.at.astimezone(told.zone), entry.who)
