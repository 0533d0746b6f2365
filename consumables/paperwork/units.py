"""A supplier sells by the bottle, the pint or the pound; the shelf counts pieces, ml and grams."""

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any

from consumables.paperwork.cells import CellError, nearest
from consumables.words import Unit

# The only units a pack may be stated in, each with the library's own name for it: text from a
# file picks an entry here and never reaches the library's parser.
VOLUMES = {
    "ml": "milliliter",
    "l": "liter",
    "us_fl_oz": "fluid_ounce",
    "us_pt": "pint",
    "us_qt": "quart",
    "us_gal": "gallon",
    "imp_fl_oz": "imperial_fluid_ounce",
    "imp_pt": "imperial_pint",
    "imp_gal": "imperial_gallon",
}
_WEIGHTS = {"g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}
PACK_UNITS = ("each", *VOLUMES, *_WEIGHTS)


def pack_unit(cell: str) -> str:
    """One of the closed list of pack units."""
    if cell not in PACK_UNITS:
        allowed = ", ".join(PACK_UNITS)
        raise CellError(f"One of these is expected: {allowed}.{nearest(cell, PACK_UNITS)}")
    return cell


def exact_amount(amount: Decimal, stated_in: str, unit: Unit) -> Decimal:
    """`amount` of a pack unit in the item's `unit`, unrounded; CellError on a mismatch.

    Factors are those of pint, tested against NIST Handbook 44 Appendix C and 16 CFR 500.19.
    """
    if stated_in == unit.value:
        return amount
    names = {Unit.MILLILITRE: VOLUMES, Unit.GRAM: _WEIGHTS}.get(unit, {})
    if stated_in not in names:
        raise CellError(
            f"A pack unit that turns into '{unit.value}' is expected, because the item is counted"
            f" in '{unit.value}'; '{stated_in}' does not (volume is not weight)."
        )
    measured = registry().Quantity(amount, names[stated_in])
    return Decimal(measured.to(names[unit.value]).magnitude)


def whole_units(amount: Decimal, stated_in: str, unit: Unit) -> int:
    """A pack's content in whole pieces, or in ml or g rounded to the nearest whole."""
    exact = exact_amount(amount, stated_in, unit)
    if unit is Unit.EACH and exact != exact.to_integral_value():
        raise CellError("A whole number is expected, because the item is counted in pieces.")
    rounded = int(exact.quantize(Decimal(1), ROUND_HALF_UP))
    if not 1 <= rounded <= 10_000_000:
        raise CellError(f"A pack of 1 to 10000000 {unit.value} is expected.")
    return rounded


@lru_cache(maxsize=1)
def registry() -> Any:
    """The unit library, counting in exact decimals; built on first need (0.4 s)."""
    import pint

    return pint.UnitRegistry(non_int_type=Decimal)
