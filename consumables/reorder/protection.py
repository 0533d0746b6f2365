"""What the shelf must cover until the next order can arrive, item by item and supplier by supplier.

An order placed today arrives after L whole days (a pmf per supplier), the next one R days later,
so today's order serves the days L .. L+R-1. On this grid of whole days a delivery counts from the
morning of its day on, and every service of a day is counted as the day's last: its need is met
when the use of all days up to and including its own does not exceed the position S. The service
fill

    sum over days of E[M_d ; D_{0..d} <= S] / sum over days of E[M_d]

(M_d the day's services that need the item, D the use from today on) is therefore a floor. For a
random lead time both sums are means over the lead time, the same for this order and the next.
"""

from dataclasses import dataclass

import numpy as np

from consumables.reorder.chances import Complexes, Floats, Ints, circle_size, from_circle
from consumables.reorder.demand import chunks, mean_and_variance, need_transforms, transforms
from consumables.reorder.forecast import Forecast
from consumables.reorder.levels import fill_curve

LARGEST = 1 << 17


@dataclass(frozen=True)
class Routes:
    """One row per item and supplier: `item`, and `lead` (rows, days) the pmf of L."""

    item: Ints
    lead: Floats

    def __len__(self) -> int:
        return len(self.item)

    @property
    def first_day(self) -> Ints:
        """Soonest that each route delivers."""
        soonest: Ints = (self.lead > 0).argmax(axis=1)
        return soonest

    @property
    def last_day(self) -> Ints:
        """Latest that each route delivers."""
        latest: Ints = np.where(self.lead > 0, np.arange(self.lead.shape[1]), 0).max(axis=1)
        return latest

    def some(self, rows: Ints) -> "Routes":
        return Routes(self.item[rows], self.lead[rows])


@dataclass(frozen=True)
class Curves:
    """Service by position S = 0, 1, ... in steps, one row per route: (routes, steps).

    `service` counts all services, `booked` only the visits in the book (1 where there are
    none), `units` is the unit fill, `calm` the chance that nothing is short until R + L.
    `bridge` is the service fill of the days before this route delivers, from the first on which
    any route of the item could; for loose use alone the chance that nothing is short till then.
    """

    service: Floats
    booked: Floats
    units: Floats
    calm: Floats
    bridge: Floats


def sizes_needed(forecast: Forecast, routes: Routes, review: int) -> Ints:
    """Length of the curves of each route: mean use of the interval and six deviations."""
    last = np.minimum(review + routes.last_day, forecast.horizon)[:, None]
    mean, variance = mean_and_variance(forecast, routes.item, np.zeros_like(last), last)
    entries = 2 + mean[:, 0] + 6 * np.sqrt(variance[:, 0])
    return np.array([min(circle_size(entry), LARGEST) for entry in entries], dtype=np.int64)


def curves(forecast: Forecast, routes: Routes, review: int, size: int) -> Curves:
    """Exact curves of `size` steps for routes (all suppliers of one item next to each other)."""
    found = [
        _curves(forecast, routes.some(rows), review, size)
        for rows in _by_item(forecast, routes, review, size)
    ]
    return Curves(
        *(
            np.concatenate([getattr(part, name) for part in found])
            for name in ("service", "booked", "units", "calm", "bridge")
        )
    )


def _by_item(forecast: Forecast, routes: Routes, review: int, size: int) -> list[Ints]:
    items = np.unique(routes.item)
    spells = review + routes.lead.shape[1]
    return [
        np.flatnonzero((routes.item >= items[at][0]) & (routes.item <= items[at][-1]))
        for at in chunks(forecast, items, spells, size)
    ]


def _curves(forecast: Forecast, routes: Routes, review: int, size: int) -> Curves:
    items, where = np.unique(routes.item, return_inverse=True)
    days = np.arange(review + routes.lead.shape[1])
    weights = (*_weights(routes.lead, review, len(days)), _waiting(routes, where, len(days)))
    used = np.flatnonzero(np.sum(weights, axis=0).any(axis=0))
    days, (begin, end, window, waiting) = days[used], (one[:, used] for one in weights)
    until = np.repeat(np.minimum(days, forecast.horizon)[None], len(items), axis=0)
    found = transforms(forecast, items, np.zeros_like(until), until, size)
    last_day = np.maximum(until - 1, 0)
    met, met_booked, need, need_booked = need_transforms(forecast, items, last_day, found)
    to_day, to_end = (_mix(one, found.total, where, size) for one in (begin, end))
    mean, _ = mean_and_variance(forecast, items, np.zeros_like(until), until)
    units = fill_curve(to_day, to_end, ((end - begin) * mean[where]).sum(axis=1))

    def share(days: Floats, met: Complexes, need: Floats, otherwise: Floats) -> Floats:
        wanted = (days * need[where]).sum(axis=1)
        return _share(_mix(days, met, where, size), wanted, otherwise)

    everything, in_hand = np.ones_like(units), np.cumsum(to_day, axis=1)
    waits = waiting.sum(axis=1, keepdims=True) > 0
    return Curves(
        service=share(window, met, need, otherwise=units),
        booked=share(window, met_booked, need_booked, otherwise=everything),
        units=units,
        calm=np.cumsum(to_end, axis=1),
        bridge=share(waiting, met, need, otherwise=np.where(waits, in_hand, 1.0)),
    )


def _weights(lead: Floats, review: int, days: int) -> tuple[Floats, Floats, Floats]:
    """Weights of the use of the first h days: at L, at R + L, and the days between.

    A service on day d looks at the first d + 1 days, so days L .. L+R-1 are h = L+1 .. L+R.
    """
    begin = np.zeros((len(lead), days))
    begin[:, : lead.shape[1]] = lead
    end = np.roll(begin, review, axis=1)
    window = np.cumsum(begin - end, axis=1)
    window = np.concatenate([np.zeros((len(lead), 1)), window[:, :-1]], axis=1)
    return begin, end, np.where(window < 1e-12, 0.0, window)


def _waiting(routes: Routes, item: Ints, days: int) -> Floats:
    """Weights of the days before each route delivers, from the first any of its item could."""
    first = np.full(int(item.max()) + 1, days)
    np.minimum.at(first, item, routes.first_day)
    before = np.zeros((len(routes), days))
    before[:, 1 : routes.lead.shape[1]] = 1 - np.cumsum(routes.lead[:, :-1], axis=1)
    before[before < 1e-12] = 0.0
    return np.where(np.arange(days) > first[item][:, None], before, 0.0)


def _mix(weights: Floats, values: Complexes, where: Ints, size: int) -> Floats:
    """Mean over days of each route, back from the circle: (routes, size)."""
    return from_circle(np.matmul(weights[:, None], values[where])[:, 0], size)


def _share(met: Floats, wanted: Floats, otherwise: Floats) -> Floats:
    none = wanted <= 1e-12
    share = np.cumsum(met, axis=1) / np.where(none, 1.0, wanted)[:, None]
    return np.where(none[:, None], otherwise, share)
