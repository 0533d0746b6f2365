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

    def some(self, rows: Ints) -> "Routes":
        return Routes(self.item[rows], self.lead[rows])


@dataclass(frozen=True)
class Curves:
    """Service by position S = 0, 1, ... in steps, one row per route: (routes, steps).

    `service` counts all services, `booked` only the visits in the book (1 where there are
    none), `units` is the unit fill, `calm` the chance that nothing is short until R + L.
    """

    service: Floats
    booked: Floats
    units: Floats
    calm: Floats


def sizes_needed(forecast: Forecast, routes: Routes, review: int) -> Ints:
    """Length of the curves of each route: mean use of the interval and six deviations."""
    last = review + np.array([int(np.flatnonzero(row).max()) for row in routes.lead])
    last = np.minimum(last, forecast.horizon)[:, None]
    mean, variance = mean_and_variance(forecast, routes.item, np.zeros_like(last), last)
    entries = 2 + mean[:, 0] + 6 * np.sqrt(variance[:, 0])
    return np.array([min(circle_size(entry), LARGEST) for entry in entries])


def curves(forecast: Forecast, routes: Routes, review: int, size: int) -> Curves:
    """Exact curves of `size` steps for routes (all suppliers of one item next to each other)."""
    found = [
        _curves(forecast, routes.some(rows), review, size)
        for rows in _by_item(forecast, routes, review, size)
    ]
    return Curves(
        *(
            np.concatenate([getattr(part, name) for part in found])
            for name in ("service", "booked", "units", "calm")
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
    begin, end, window = _weights(routes.lead, review, len(days))
    used = np.flatnonzero((begin + end + window).any(axis=0))
    days, begin, end, window = days[used], begin[:, used], end[:, used], window[:, used]
    until = np.repeat(np.minimum(days, forecast.horizon)[None], len(items), axis=0)
    found = transforms(forecast, items, np.zeros_like(until), until, size)
    last_day = np.maximum(until - 1, 0)
    met, met_booked, need, need_booked = need_transforms(forecast, items, last_day, found)
    to_day, to_end = (_mix(weights, found.total, where, size) for weights in (begin, end))
    mean, _ = mean_and_variance(forecast, items, np.zeros_like(until), until)
    units = fill_curve(to_day, to_end, ((end - begin) * mean[where]).sum(axis=1))
    wanted, wanted_booked = ((window * asked[where]).sum(axis=1) for asked in (need, need_booked))
    return Curves(
        service=_share(_mix(window, met, where, size), wanted, otherwise=units),
        booked=_share(
            _mix(window, met_booked, where, size), wanted_booked, otherwise=np.ones_like(units)
        ),
        units=units,
        calm=np.cumsum(to_end, axis=1),
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


def _mix(weights: Floats, values: Complexes, where: Ints, size: int) -> Floats:
    """Mean over days of each route, back from the circle: (routes, size)."""
    return from_circle(np.matmul(weights[:, None], values[where])[:, 0], size)


def _share(met: Floats, wanted: Floats, otherwise: Floats) -> Floats:
    none = wanted <= 1e-12
    share = np.cumsum(met, axis=1) / np.where(none, 1.0, wanted)[:, None]
    return np.where(none[:, None], otherwise, share)
