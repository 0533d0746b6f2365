"""Volumes as a label states them, in millilitres: a closed list of units, metric, US, imperial."""

from decimal import Decimal

from consumables.closeout.solutions import Volume, label_volumes, volume
from consumables.errors import Refused

# Kitchen measures are on labels of bleach; packs are never sold by them.
_KITCHEN = {"us_cup": "cup", "us_tbsp": "tablespoon", "us_tsp": "teaspoon"}


def millilitres(words: str) -> int:
    """A volume as somebody wrote it, rounded to whole ml; a bare number is ml. Raises Refused."""
    found = round(exact_ml(volume(words)))
    if not 1 <= found <= 1_000_000:
        raise Refused(f"'{words}' is {found} ml; a jar or bath of 1 ml to 1000 l is expected.")
    return found


def parts_on_label(words: str) -> Decimal:
    """Parts of water to one of product from a label's words: "2 us_fl_oz per us_gal" is 64."""
    product, water = label_volumes(words)
    return exact_ml(water) / exact_ml(product)


def exact_ml(said: Volume) -> Decimal:
    """Millilitres, unrounded; text picks a unit from the list and never reaches pint's parser.

    Factors are those of pint, tested against NIST Handbook 44 Appendix C.
    """
    from consumables.paperwork.units import VOLUMES, registry

    known = {**VOLUMES, **_KITCHEN}
    if said.unit not in known:
        raise Refused(f"'{said.unit}' is no unit here; the units are {', '.join(known)}.")
    measured = registry().Quantity(said.amount, known[said.unit])
    return Decimal(measured.to("milliliter").magnitude)
