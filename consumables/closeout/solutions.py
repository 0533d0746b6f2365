"""A jar of disinfectant: measured, dated, and thrown out when its time is up."""

from datetime import datetime, timedelta

from consumables.errors import Refused

# The longest a jar may stand under each word a rule book uses; the first to come rules.
_STANDS = {"daily": timedelta(days=0), "weekly": timedelta(days=6)}


def change_by(mixed_at: datetime, change_words: tuple[str, ...]) -> datetime:
    """The last moment a jar may be used: the end of the mixing day for `daily` (OAC 4713-15-03,
    172 NAC 34-011), of the seventh day for `weekly` (16 CCR 979); the strictest word wins and a
    book that names neither gets `daily`. Cloudy is for the eye, not the clock. Aware local time.
    """
    days = min((_STANDS[word] for word in change_words if word in _STANDS), default=timedelta(0))
    last = mixed_at + days
    return last.replace(hour=23, minute=59, second=59, microsecond=0)


def product_ml(total_ml: int, parts_water: int) -> int:
    """Millilitres of concentrate for a jar of `total_ml` at one part to `parts_water` of water.

    1:64 is one part product and sixty-four of water, so 1/65 of the whole (label convention,
    2 US fl oz to the US gallon). Rounded to the nearest millilitre, at least one.
    """
    if total_ml <= 0 or parts_water < 0:
        raise Refused("Give the jar's volume in millilitres and the parts of water to one part.")
    return max(1, round(total_ml / (parts_water + 1)))
