"""What a scanner typed: a bar-code number checked to its last digit, or a whole GS1 label."""

import re
from dataclasses import dataclass
from datetime import date

from consumables.errors import Refused

GS = "\x1d"  # what a scanner sends for the separator FNC1
_LENGTHS = (8, 12, 13, 14)
_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_GS1 = ("]C1", "]e0", "]d2", "]Q3", "]J1")  # GS1-128, DataBar, DataMatrix, QR, DotCode
_PLAIN = ("]E0", "]E1", "]E2", "]E3", "]E4", "]I0", "]I1")  # EAN, UPC; ITF-14


@dataclass(frozen=True)
class Scanned:
    """What a label says of one pack; an empty text or None: it does not say.

    `count` is in packs, or in single pieces where `pieces`. What stands in `doubts` was left out
    of the other fields: whole sentences, to be settled by reading the pack.
    """

    gtin: str = ""  # 14 digits
    lot: str = ""
    use_by: date | None = None  # the last good day
    count: int | None = None
    serial: str = ""
    pieces: bool = False
    doubts: tuple[str, ...] = ()


def read_scan(text: str, today: date) -> Scanned:
    """What a scanned text says: a plain bar-code number, or a GS1 label of several fields.

    The label may begin with a symbology identifier (ISO/IEC 15424), hold FNC1 as GS, or be typed
    with its field numbers in brackets as printed under the bars. `today` settles the century.
    Raises Refused with a sentence that names the field.
    """
    text = text.strip(" \t\r\n")
    symbology = text[:3] if _SYMBOLOGY.match(text) else ""
    said = text[len(symbology) :]
    if symbology in _PLAIN or (not symbology and _only_a_number(said)):
        return Scanned(gtin=gtin14(said))
    if symbology and symbology not in _GS1 and not is_gtin(said):
        raise Refused(f"'{printable(said)}' is no bar code of the trade: it says it is another.")
    if symbology and symbology not in _GS1:
        return Scanned(gtin=gtin14(said))
    from consumables.items.label_fields import label_says

    return label_says(said, today)


def printable(text: str) -> str:
    """A scanned text as it can be shown: the separator as a bar, other unseen signs as '?'."""
    shown = (sign if sign.isprintable() else "?" for sign in text.replace(GS, "|"))
    return "".join(shown)[:60]


def _only_a_number(text: str) -> bool:
    # A plain number may begin like a field (400...); with a right length it is meant as a number.
    digits = text.replace(" ", "").replace("-", "")
    return digits.isascii() and digits.isdigit() and len(digits) in _LENGTHS


def is_gtin(text: str) -> bool:
    """Whether a text is a bar-code number (GTIN-8, -12, -13 or -14) with a right check digit."""
    try:
        gtin14(text)
    except Refused:
        return False
    return True


def gtin14(text: str) -> str:
    """A bar-code number as 14 digits, filled with zeros on the left.

    Check digit: weights 3, 1, 3, 1 ... from the right (GS1 General Specifications); the check
    itself is biip's. Raises Refused with the digit that would have been right.
    """
    digits = text.strip().replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdigit()):
        raise Refused(f"Bar code '{text}': it must be digits only. Scan or type it again.")
    if len(digits) not in _LENGTHS or not digits.strip("0"):
        raise Refused(
            f"Bar code '{text}': a bar-code number has 8, 12, 13 or 14 digits and is not all "
            f"zeros; this one has {len(digits)} digits. Scan or type it again."
        )
    return _checked(digits)


def _checked(digits: str) -> str:
    from biip.checksums import gs1_standard_check_digit  # imported late: 10 bare starts (measured)

    right = str(gs1_standard_check_digit(digits[:-1]))
    if digits[-1] != right:
        raise Refused(
            f"Bar code '{digits}': its last digit should be {right}, not {digits[-1]}, so a digit "
            "was misread. Scan or type it again."
        )
    return digits.zfill(14)
