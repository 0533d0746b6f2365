"""The record put into words: the paper at the counter, and the sheet with every single line."""

from collections.abc import Iterator, Sequence
from dataclasses import fields
from itertools import groupby

from consumables.desk.recording import Head, Record
from consumables.paperwork.order_paper import csv_text
from consumables.paperwork.record_paper import (
    MANY_THINGS,
    MANY_WORDS,
    PaperSection,
    RecordPaper,
    record_pdf,
)
from consumables.reports.record import Section
from consumables.reports.record_lines import RecordLine

OUTRANKED = (
    "Local law, the product label and the licence outrank this tool and the book named above."
)
_SHORT_NAMES = {
    "contamination": "visits with contamination",
    "outside": "uses outside the rules",
    "rules": "rules changed",
    "counts": "lots counted",
    "gap": "things missing on cards",
    "ledger": "changes to the record",
    "solutions": "steps with a jar",
    "retired": "pieces retired",
    "treatments": "steps at the sink",
    "discards": "things discarded",
}
_MANY_THINGS = ("discards", "treatments", "contamination")
_SHORT_ID = 12  # the beginning of a visit's id names it in every command


def record_sheet(record: Record) -> str:
    """Every line as CSV text, with its entry's number, its lot and its visit's whole id."""
    names = [column.name for column in fields(RecordLine)]
    lines = [line for section in record.sections for line in section.lines]
    return csv_text(names, [[getattr(line, name) for name in names] for line in lines])


def record_paper(record: Record, size: str = "a4", font: str = "") -> bytes:
    """The record as PDF; raises Refused where a letter cannot be printed."""
    return record_pdf(in_words(record), size, font)


def in_words(record: Record) -> RecordPaper:
    """Everything that the paper says."""
    head = record.head
    return RecordPaper(
        title="Record of discards, disinfection and incidents",
        shop=head.shop,
        period=f"{head.first} to {head.last}",
        head=(*_head(head), ("In short", _in_short(record))),
        outranked=OUTRANKED,
        cautions=head.cautions,
        sections=tuple(_section(section) for section in record.sections),
        sealed=f"entry {head.sealed_entry} {short(head.digest)}",
    )


def short(digest: str) -> str:
    """The first sixteen digits in groups of four, to be read aloud."""
    return " ".join(digest[start : start + 4] for start in range(0, 16, 4))


def _head(head: Head) -> Iterator[tuple[str, str]]:
    partial = "PARTIAL: not all of its text was seen. " if head.partial else ""
    yield "Book in force", f"{head.book} ({head.place})"
    yield "Edition seen", f"{head.edition}; checked on {head.checked_on}"
    yield "How much of it", f"{partial}{head.book_note}".strip() or "All of its text was seen."
    yield "Kept for", f"{head.retention_days} days. {head.retention_says}"
    yield "Clients", f"Codes only, never names; from {head.codes_from} on. Older visits have none."
    told = "Initials sign each line; its entry and lot stand in the sheet (record --csv)."
    yield "Lines", f"Moments in the shop's own zone, {head.zone}. {told}"
    yield "Asked for by", head.signed_by or "nobody signed"
    yield "Seal of the ledger", f"{short(head.digest)}, over entries 1 to {head.sealed_entry}"
    yield "The seal in full", head.digest
    asked = f"consumables check --against {head.sealed_entry}:{head.digest[:16]}"
    yield "Is it unchanged?", f"{asked} (SHA-256 chained over all entries)"


def _in_short(record: Record) -> str:
    return "; ".join(f"{_SHORT_NAMES[section.name]} {section.count}" for section in record.sections)


def _section(section: Section) -> PaperSection:
    return PaperSection(
        title=f"{section.title}: {section.count or 'none'}",
        rows=tuple(_rows(section.lines)),
        empty="Nothing of it is in the ledger for these days.",
        shares=MANY_THINGS if section.name in _MANY_THINGS else MANY_WORDS,
        said=section.said,
    )


def _rows(lines: Sequence[RecordLine]) -> Iterator[tuple[str, ...]]:
    """Lines of one job that differ only in the thing are one row of the paper."""
    for _, same in groupby(lines, key=_apart):
        together = list(same)
        line = together[0]
        yield (
            f"{line.at:%Y-%m-%d %H:%M}",
            line.who or "-",
            f"{line.what}, {line.where}" if line.where else line.what,
            "; ".join(_things(together)) or "-",
            line.because or "-",
            _visit(line),
        )


def _apart(line: RecordLine) -> tuple[object, ...]:
    return (line.at, line.who, line.what, line.where, line.because, line.visit_id)


def _things(lines: Sequence[RecordLine]) -> Iterator[str]:
    """Each thing once with how many; pieces by their tags. Of what is in the bin the lots are left
    to the sheet."""
    units: dict[tuple[str, str], int] = {}
    for line in lines:
        key = (line.item, "" if line.where else line.lot_or_piece)
        units[key] = units.get(key, 0) + (line.quantity or 0)
    for (item, named), many in units.items():
        words = f"{item} ({named})" if item and named else item or named
        if words:
            yield f"{many}\u00a0×\u00a0{words}" if many else words


def _visit(line: RecordLine) -> str:
    client = f" client {line.client}" if line.client else ""
    return f"{line.visit_id[:_SHORT_ID]}{client}" or "-"
