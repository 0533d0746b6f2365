"""Seals of the ledger that somebody kept: typed off a paper, or a sheet with one for each entry."""

import re
from pathlib import Path

from consumables.errors import Refused
from consumables.paperwork.cells import CellError, whole
from consumables.paperwork.rows import Complaint, refuse_if_any
from consumables.paperwork.sheet_forms import SheetForm
from consumables.paperwork.sheets import read_csv_sheet

FEWEST_DIGITS = 16  # as printed short: 64 bits
COLUMNS = ("entry_id", "digest")
_FORM = SheetForm("kept_seals", COLUMNS, ())
_MOST_ENTRIES = 2**62


def typed_digest(text: str) -> tuple[int, str] | None:
    """ENTRY:DIGEST as a printed record has it, spaces allowed; None where it is no such text.

    Raises Refused where it has too few digits to prove anything.
    """
    found = re.fullmatch(r"\s*(\d+)\s*:\s*([0-9a-fA-F\s]+)", text)
    if found is None:
        return None
    digits = re.sub(r"\s", "", found[2]).lower()
    if not FEWEST_DIGITS <= len(digits) <= 64:
        raise Refused(
            f"'{text}' has {len(digits)} digits of a seal; give {FEWEST_DIGITS} to 64 of them."
        )
    return int(found[1]), digits


def kept_digests(path: Path) -> list[tuple[int, str]]:
    """(entry, digest) of a sheet that `consumables check --digest --csv FILE` wrote; one bad row
    refuses it whole with BadFile."""
    complaints: list[Complaint] = []
    rows = read_csv_sheet(path, _FORM, complaints)
    found = [(row.need("entry_id", whole(0, _MOST_ENTRIES), 0), row) for row in rows]
    kept = [(number, row.need("digest", _digits, "")) for number, row in found]
    refuse_if_any(complaints)
    return kept


def _digits(cell: str) -> str:
    if not re.fullmatch(rf"[0-9a-fA-F]{{{FEWEST_DIGITS},64}}", cell):
        raise CellError(f"{FEWEST_DIGITS} to 64 digits from 0 to 9 and a to f are expected.")
    return cell.lower()
