"""The level of every offer of every item, and the service behind any position."""

from dataclasses import dataclass, field

import numpy as np

from consumables.reorder.chances import Floats, Ints
from consumables.reorder.forecast import Forecast
from consumables.reorder.levels import pack_average, smallest_level
from consumables.reorder.market import Market
from consumables.reorder.protection import LARGEST, Curves, curves, sizes_needed


@dataclass(frozen=True)
class RouteCurves:
    """Service of one item from one supplier, by position in steps (see `protection.Curves`)."""

    service: Floats
    units: Floats
    calm: Floats

    def at(self, name: str, position: int) -> float:
        """The curve called `name` at a position in steps; 1 beyond its end, 0 below 0."""
        curve: Floats = getattr(self, name)
        if position < 0:
            return 0.0
        return float(np.clip(curve[position], 0, 1)) if position < len(curve) else 1.0


@dataclass(frozen=True)
class Levels:
    """Levels in steps, per offer of the market; `booked` and `curves` per route.

    `level` meets the target by service fill and `unit_level` by unit fill, both meaned over the
    positions that whole packs may lead to; `booked` is the position that by itself meets it for
    the visits in the book, `bridge` the one that holds out until the route delivers.
    """

    level: Ints
    unit_level: Ints
    booked: Ints
    bridge: Ints
    curves: list[RouteCurves] = field(repr=False)


def find_levels(forecast: Forecast, market: Market, review: int, target: float) -> Levels:
    """Levels of all offers, in groups of similar size; a curve too short is made twice as long."""
    routes = len(market.routes)
    found = Levels(
        level=np.zeros(len(market.offer), dtype=np.int64),
        unit_level=np.zeros(len(market.offer), dtype=np.int64),
        booked=np.zeros(routes, dtype=np.int64),
        bridge=np.zeros(routes, dtype=np.int64),
        curves=[RouteCurves(*(np.ones(0),) * 3)] * routes,
    )
    size = _largest_of_item(market.routes.item, sizes_needed(forecast, market.routes, review))
    waiting = np.arange(routes)
    while len(waiting):
        length = int(size[waiting].min())
        now = waiting[size[waiting] == length]
        curve = curves(forecast, market.routes.some(now), review, length)
        short = _record(found, market, now, curve, target)
        again = now[np.isin(market.routes.item[now], market.routes.item[short])]
        again = again if length < LARGEST else again[:0]
        size[again] = 2 * length
        waiting = np.union1d(np.setdiff1d(waiting, now), again)
    return found


def _record(found: Levels, market: Market, routes: Ints, curve: Curves, target: float) -> Ints:
    """Write down what the curves of `routes` say; the routes whose target lies beyond them."""
    mine = np.flatnonzero(np.isin(market.offer_route, routes))
    row = np.searchsorted(routes, market.offer_route[mine])
    level = smallest_level(pack_average(curve.service[row], market.pack[mine]), target)
    unit_level = smallest_level(pack_average(curve.units[row], market.pack[mine]), target)
    booked, bridge = (smallest_level(one, target) for one in (curve.booked, curve.bridge))
    end = curve.service.shape[1] - 1
    found.level[mine] = np.where(level < 0, end, level)
    found.unit_level[mine] = np.where(unit_level < 0, end, unit_level)
    found.booked[routes] = np.where(booked < 0, end, booked)
    found.bridge[routes] = np.where(bridge < 0, end, bridge)
    for at, route in enumerate(routes):
        found.curves[route] = RouteCurves(curve.service[at], curve.units[at], curve.calm[at])
    short = np.minimum(level, unit_level) < 0
    return np.union1d(market.offer_route[mine[short]], routes[np.minimum(booked, bridge) < 0])


def _largest_of_item(item: Ints, values: Ints) -> Ints:
    most = np.zeros(int(item.max(initial=0)) + 1, dtype=np.int64)
    np.maximum.at(most, item, values)
    return most[item]
