"""A jar of disinfectant: measured, dated, and thrown out when its time is up."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from consumables.errors import Refused

# The longest a jar may stand under each word a rule book uses; the first to come rules.
_STANDS = {"daily": timedelta(days=0), "weekly": timedelta(days=6)}
_VOLUME = r"(\d+(?:[.,/]\d+)?)\s*([a-z_]+)"
_MEASURED = re.compile(_VOLUME)
_LABEL = re.compile(rf"{_VOLUME}\s+per\s+(?:{_VOLUME}|([a-z_]+))")


@dataclass(frozen=True)
class Volume:
    """So much of a unit of volume, as somebody wrote it."""

    amount: Decimal
    unit: str


def change_by(
    mixed_at: datetime, change_words: tuple[str, ...], label_days: int | None = None
) -> datetime:
    """The last moment a jar may be used: the end of the mixing day for `daily` (OAC 4713-15-03,
    172 NAC 34-011), of the seventh day for `weekly` (16 CCR 979), of the label's own last day
    where the label gives `label_days`; whichever comes first. A book and a label that name none
    give `daily`. Cloudy is for the eye, not the clock. Aware local time.
    """
    spans = [_STANDS[word] for word in change_words if word in _STANDS]
    if label_days is not None:
        spans.append(timedelta(days=max(1, label_days) - 1))
    last = mixed_at + min(spans, default=timedelta(0))
    return last.replace(hour=23, minute=59, second=59, microsecond=0)


def product_ml(total_ml: int, parts_water: float | Decimal) -> int:
    """Millilitres of concentrate for a jar of `total_ml` at one part to `parts_water` of water.

    1:64 is one part product and sixty-four of water, so 1/65 of the whole (label convention,
    2 US fl oz to the US gallon). Rounded to the nearest millilitre, at least one.
    """
    if total_ml <= 0 or parts_water < 0:
        raise Refused("Give the jar's volume and the parts of water to one part, both above zero.")
    return max(1, round(Decimal(total_ml) / (Decimal(str(parts_water)) + 1)))


def parts_to_dilute(stock_percent: Decimal, target_percent: Decimal) -> Decimal:
    """Parts of water to one part of stock: stock over target, less one (CDC guideline,
    Appendix E, chlorine solutions: 3.5 % to 0.5 % is six parts)."""
    if not 0 < target_percent <= stock_percent:
        raise Refused("The wanted percentage must lie above zero and not above the product's own.")
    return stock_percent / target_percent - 1


def label_volumes(words: str) -> tuple[Volume, Volume]:
    """What a label says ("2 us_fl_oz per us_gal", "16 ml per l"): product, and the water it is for.

    Raises Refused where the words are of another shape. Which units there are is not decided here.
    """
    found = _LABEL.fullmatch(words.strip().lower())
    if found is None:
        raise Refused(
            f"'{words}' is not understood as a label's strength; write it like "
            "'2 us_fl_oz per us_gal' or '16 ml per l'."
        )
    amount, unit, per_amount, per_unit, one = found.groups()
    return _volume(amount, unit), _volume(per_amount or "1", per_unit or one)


def volume(words: str, usual_unit: str = "ml") -> Volume:
    """A volume as somebody wrote it ("1000", "1.5 l", "1/2 us_gal"); raises Refused."""
    text = words.strip().lower()
    found = _MEASURED.fullmatch(text) or _MEASURED.fullmatch(f"{text} {usual_unit}")
    if found is None:
        raise Refused(f"'{words}' is no volume; write it like '1000 ml' or '1 us_gal'.")
    return _volume(*found.groups())


def _volume(amount: str, unit: str) -> Volume:
    above, _, below = amount.replace(",", ".").partition("/")
    if not Decimal(above) or (below and not Decimal(below)):
        raise Refused(f"'{amount} {unit}' is nothing; a volume above zero is expected.")
    return Volume(Decimal(above) / Decimal(below or 1), unit)
