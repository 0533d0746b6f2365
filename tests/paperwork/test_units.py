"""Packs stated in pints, ounces or litres become whole ml or g by published factors."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from consumables.paperwork.cells import CellError
from consumables.paperwork.units import PACK_UNITS, exact_amount, registry, whole_units
from consumables.words import Unit

REFERENCE = Path(__file__).parent.parent / "reference" / "units.json"
FACTORS = json.loads(REFERENCE.read_text("utf-8"))["records"]
OURS = {
    "fluid_ounce": "us_fl_oz", "quart": "us_qt", "gallon": "us_gal", "ounce": "oz", "pound": "lb",
    "imperial_fluid_ounce": "imp_fl_oz", "mL": "ml", "g": "g", "kg": "kg",
}  # fmt: skip


@pytest.mark.parametrize("factor", FACTORS, ids=lambda f: f["id"])
def test_the_unit_library_agrees_with_the_published_factor(factor):
    measured = registry().Quantity(Decimal(factor["quantity"]), factor["from_unit"])
    value = measured.to(factor["to_unit"]).magnitude
    assert float(value) == pytest.approx(factor["expected"], rel=factor["relative_tolerance"])


@pytest.mark.parametrize(
    "factor", [f for f in FACTORS if f["to_unit"] in ("mL", "g") and f["from_unit"] in OURS],
    ids=lambda f: f["id"],
)  # fmt: skip
def test_a_pack_unit_carries_the_published_factor(factor):
    unit = Unit(OURS[factor["to_unit"]])
    ours = exact_amount(Decimal(1), OURS[factor["from_unit"]], unit)
    assert float(ours) == pytest.approx(factor["expected"], rel=factor["relative_tolerance"])


def test_a_pound_is_the_inverse_of_its_share_of_a_kilogram():
    per_kilogram = next(f["expected"] for f in FACTORS if f["id"] == "1-kg-pound")
    pound = exact_amount(Decimal(1), "lb", Unit.GRAM)
    assert 1000 / float(pound) == pytest.approx(per_kilogram, rel=3e-6)


@pytest.mark.parametrize(
    ("amount", "stated_in", "unit", "whole"),
    [
        # NIST Handbook 44 Appendix C: 1 US pint = 473.176473 ml, 1 imperial pint = 568.26125 ml
        ("1", "us_pt", Unit.MILLILITRE, 473),
        ("1", "imp_pt", Unit.MILLILITRE, 568),
        ("1", "imp_gal", Unit.MILLILITRE, 4546),
        ("0.5", "us_fl_oz", Unit.MILLILITRE, 15),
        ("14.8", "ml", Unit.MILLILITRE, 15),
        ("14.5", "ml", Unit.MILLILITRE, 15),
        ("1.5", "l", Unit.MILLILITRE, 1500),
        ("0.25", "kg", Unit.GRAM, 250),
        ("100", "each", Unit.EACH, 100),
    ],
)
def test_a_pack_is_counted_in_the_nearest_whole_unit(amount, stated_in, unit, whole):
    assert whole_units(Decimal(amount), stated_in, unit) == whole


def test_volume_weight_and_pieces_never_turn_into_each_other():
    kinds = {"each": Unit.EACH, **dict.fromkeys(("g", "kg", "oz", "lb"), Unit.GRAM)}
    for stated_in in PACK_UNITS:
        for unit in Unit:
            if kinds.get(stated_in, Unit.MILLILITRE) is not unit:
                with pytest.raises(CellError, match="is expected"):
                    whole_units(Decimal(5), stated_in, unit)


@pytest.mark.parametrize("amount", ["0.4", "99999999"])
def test_a_pack_below_one_unit_or_beyond_reason_is_refused(amount):
    with pytest.raises(CellError, match="A pack of 1 to"):
        whole_units(Decimal(amount), "ml", Unit.MILLILITRE)
