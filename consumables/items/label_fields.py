"""The fields of a GS1 label: each read by its number, and each checked before it is believed."""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from consumables.errors import Refused
from consumables.items.scan import GS, Scanned, gtin14, is_gtin, printable

# GS1 General Specifications, section 3: field number -> what it holds.
NAMES = {
    "01": "bar-code number",
    "02": "bar-code number of what is inside",
    "10": "lot",
    "11": "day of making",
    "12": "day of payment",
    "13": "day of packing",
    "15": "best before",
    "16": "sell by",
    "17": "use by",
    "20": "variant",
    "21": "serial number",
    "30": "number of pieces",
    "37": "number of packs inside",
}
_DAYS = ("11", "12", "13", "15", "16", "17")
_BRACKETED = re.compile(r"\((\d{2,4})\)")
_DAY = r"\d\d(?:0[1-9]|1[0-2])(?:[0-2]\d|3[01])"
# What a field without an end may have swallowed when a scanner drops the separators.
_SWALLOWED = (
    *((number, rf".+{number}\d{{14}}") for number in ("01", "02")),
    *((number, rf".+{number}{_DAY}") for number in _DAYS),
    *((number, rf".+{number}\d{{1,8}}") for number in ("30", "37")),
    *((number, rf".+{number}.+") for number in ("10", "21")),
)


@dataclass(frozen=True)
class _Field:
    number: str
    value: str
    open_ended: bool = False  # of variable length and closed by no separator but the label's end
    doubtful: bool = False


def label_says(text: str, today: date) -> Scanned:
    """What a label without its symbology identifier says; Refused names the field at fault."""
    bracketed = text.startswith("(")
    fields = _bracketed(text) if bracketed else _in_sequence(text.removeprefix(GS))
    if not fields:
        raise Refused(_not_read(text))
    held = _once_each(fields)
    doubts = {f.number: _doubt(f, held) for f in fields if _is_doubtful(f, held)}
    days = [_day(number, value, today) for number, value in held.items() if number in _DAYS]
    good = [day for number, day in days if number in ("15", "17")]
    count = _count(held, doubts)
    gtin = held.get("01", held.get("02", ""))
    return Scanned(
        gtin=gtin and gtin14(gtin),
        lot=held.get("10", "") if "10" not in doubts else "",
        use_by=min(good, default=None),
        count=count,
        serial=held.get("21", "") if "21" not in doubts else "",
        # A number that begins with 9 is a pack of varying content: 30 counts what is in it.
        pieces=count is not None and "37" not in held and gtin.startswith("9"),
        doubts=tuple(doubts.values()),
    )


def full_year(two_digits: int, today: date) -> int:
    """The year that two digits mean: 51 to 99 ahead is the century before, 50 to 99 back the next.

    GS1 General Specifications, section 7.12 (from memory).
    """
    ahead = two_digits - today.year % 100
    century = today.year - today.year % 100
    return century + two_digits + (-100 if ahead >= 51 else 100 if ahead <= -50 else 0)


def _bracketed(text: str) -> list[_Field]:
    parts = _BRACKETED.split(text)[1:]
    return [
        _read(number + value, whole=True)
        for number, value in zip(parts[::2], parts[1::2], strict=True)
    ]


def _in_sequence(text: str) -> list[_Field]:
    fields: list[_Field] = []
    separated = GS in text[:-1]  # a scanner that sends one separator sends them all
    rest = text.removesuffix(GS)
    while rest:
        field = _read(rest)
        rest = rest[len(field.number + field.value) :]
        if field.open_ended and rest and not rest.startswith(GS):
            rest = rest.partition(GS)[2] and GS + rest.partition(GS)[2]
            field = _Field(field.number, field.value, doubtful=True)
        fields.append(_Field(field.number, field.value, not (separated or rest), field.doubtful))
        rest = rest.removeprefix(GS)
    return fields


def _read(text: str, whole: bool = False) -> _Field:
    from biip import ParseConfig, ParseError  # imported late: 10 bare starts (measured)
    from biip.gs1_element_strings import GS1ElementString

    lenient = ParseConfig(gs1_element_strings_verify_date=False)  # the days are checked here
    read = GS1ElementString.parse if whole else GS1ElementString.extract
    try:
        found = read(text, config=lenient)
    except ParseError:
        raise Refused(_not_read(text)) from None
    if not found.value:
        raise Refused(_not_read(found.ai.ai))
    return _Field(found.ai.ai, found.value, found.ai.separator_required and not whole)


def _not_read(text: str) -> str:
    number = text[:2]
    if number not in NAMES:
        return (
            f"'{printable(text)}' is no tag of this desk and no bar code that could be read; scan "
            "it again, or type what is printed."
        )
    empty = text[2:3] in ("", GS)
    what = "is empty" if empty else f"reads '{printable(text[2:])}', which it may not hold"
    return f"The label's field ({number}), its {NAMES[number]}, {what}. Scan or type it again."


def _once_each(fields: list[_Field]) -> dict[str, str]:
    held: dict[str, str] = {}
    for field in fields:
        if held.setdefault(field.number, field.value) != field.value:
            name = NAMES.get(field.number, "field")
            raise Refused(f"The label says ({field.number}), its {name}, twice, and differently.")
    if "01" in held and "02" in held:
        raise Refused("The label names both a pack (01) and what is inside (02); only one may be.")
    for number in ("01", "02"):
        if number in held:
            gtin14(held[number])
    return held


def _is_doubtful(field: _Field, held: dict[str, str]) -> bool:
    return field.doubtful or (field.open_ended and bool(_swallowed(field, held)))


def _swallowed(field: _Field, held: dict[str, str]) -> list[str]:
    if field.number not in ("10", "21", "30", "37"):
        return []
    missing = [(n, shape) for n, shape in _SWALLOWED if n not in held]
    if "02" not in held:  # only the number of what is inside goes with a count of packs
        missing = [(n, shape) for n, shape in missing if n != "37"]
    found = [n for n, shape in missing if re.fullmatch(shape, field.value)]
    return [n for n in found if n not in ("01", "02") or is_gtin(field.value[-14:])]


def _doubt(field: _Field, held: dict[str, str]) -> str:
    name = NAMES.get(field.number, "field")
    start = f"The {name} ({field.number}) reads '{printable(field.value)}'"
    swallowed = _swallowed(field, held)
    if not swallowed or field.doubtful:
        return f"{start} and runs on: a separator was lost. Read the {name} off the pack."
    other = NAMES[swallowed[0]]
    return (
        f"{start} and may hold the {other} ({swallowed[0]}) as well: the scanner sent no "
        f"separator. Read the {name} off the pack."
    )


def _day(number: str, value: str, today: date) -> tuple[str, date]:
    year = full_year(int(value[:2]), today)
    month, day = int(value[2:4]), int(value[4:])
    try:
        # Day 00 is the last day of its month (GS1 General Specifications, 3.4).
        return number, date(year, month, day or monthrange(year, month)[1])
    except (ValueError, IndexError):
        raise Refused(
            f"The label's field ({number}), its {NAMES[number]}, reads '{value}', which is no day. "
            "Scan it again, or type the day as printed."
        ) from None


def _count(held: dict[str, str], doubts: dict[str, str]) -> int | None:
    counts = [
        int(held[number]) for number in ("37", "30") if number in held and number not in doubts
    ]
    if 0 in counts:
        raise Refused("The label counts 0 of it; scan it again, or type how many came.")
    return counts[0] if counts else None
