"""Levels of whole shops: several items, suppliers and pack sizes at once."""

from decimal import Decimal

import numpy as np
import pytest

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.item_levels import find_levels
from consumables.reorder.levels import pack_average, smallest_level
from consumables.reorder.market import NOBODY, read_market
from consumables.reorder.protection import Routes, curves

UNIT = np.array([0.0, 1.0])


def _offer(name, supplier, size=1):
    return Offer(name, supplier, "file", size, Decimal(1))


def _supplier(name, days):
    return Supplier(name, name, {days: 1.0})


def test_a_curve_too_short_for_the_target_is_made_longer(forecast_of):
    forecast = forecast_of(np.array([0, 0.5, 0, 0, 0, 0.5]), daily=2.0, doubt=1.4)
    market = read_market(forecast, [_offer("f", "near")], [_supplier("near", 3)])
    found = find_levels(forecast, market, 7, 0.99995).level[0]
    long = curves(forecast, Routes(np.array([0]), np.eye(4)[[3]]), 7, 4096)
    assert found == smallest_level(long.service, 0.99995)[0]
    assert found > 255


def test_each_offer_has_the_level_of_its_own_delivery_and_pack(forecast_of):
    forecast = forecast_of(UNIT, daily=1.5, doubt=0.2)
    offers = [_offer("a1", "a"), _offer("a20", "a", 20), _offer("b1", "b")]
    market = read_market(forecast, offers[::-1], [_supplier("b", 9), _supplier("a", 2)])
    level = dict(zip(market.offer, find_levels(forecast, market, 7, 0.99).level, strict=True))
    assert level["a20"] < level["a1"] < level["b1"]


def test_what_nobody_offers_waits_for_the_slowest_supplier(forecast_of):
    forecast = forecast_of(UNIT, daily=1.5)
    market = read_market(forecast, [], [_supplier("near", 2), _supplier("far", 20)])
    assert market.offer == market.supplier == (NOBODY,)
    assert market.latest().tolist() == [20]


def test_positions_beyond_the_curve_are_fully_served():
    curve = np.array([[0.0, 0.5, 1.0]])
    assert pack_average(curve, np.array([10]))[0] == pytest.approx([0.85, 0.95, 1.0])
