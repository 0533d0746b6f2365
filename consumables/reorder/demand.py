"""How much of each item may be used over each number of days, exactly.

Use over some days is the sum of three independent parts, so its generating function on the
circle of `chances` is a product:

    booked visits     prod over profiles and days-ahead buckets of (1 - q + q u(z)) ** n
    not yet booked    (1 - k A(z)) ** (-1 / k),  A(z) = sum over profiles of m (u(z) - 1)
    loose use         the same form with its own mean and k

with n booked visits, q their chance to happen, u the pmf of use of one visit, m the mean number
not yet booked, and k the squared relative uncertainty of their total mean (k = 0 would be
compound Poisson). The gamma uncertainties of different kinds of visit are pooled into one of the
same variance in units; apart from that nothing is approximated, and there is no normal curve.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from consumables.reorder.chances import (
    Complexes,
    Floats,
    Ints,
    circle_size,
    from_circle,
    gamma_poisson_log,
    moments,
    nonzero,
    to_circle,
)
from consumables.reorder.forecast import Forecast

CHUNK = 1_500_000  # complex values held at once in one step
POISSON = 1e-12  # least k, so that the compound Poisson limit needs no case of its own


@dataclass(frozen=True)
class Visitors:
    """Visits of each profile of each item over given spells of days.

    `rows` (items, profiles) points into the forecast's profiles, padded with the last one;
    `booked` is (items, spells, profiles, buckets); `mean` (items, spells, profiles) and `doubt`
    (its variance) are for those not yet booked.
    """

    rows: Ints
    booked: Floats
    mean: Floats
    doubt: Floats


def visitors(forecast: Forecast, items: Ints, start: Ints, stop: Ints) -> Visitors:
    """Count visits of days start..stop-1; start and stop are (items, spells)."""
    rows = _padded_rows(forecast, items)
    member = forecast.kinds_in[rows]
    book = forecast.book
    until = np.concatenate(
        [np.zeros((*book.booked.shape[:2], 1)), book.booked.cumsum(axis=2)], axis=2
    )
    counts = np.moveaxis(until[:, :, stop] - until[:, :, start], (0, 1), (3, 2))
    mean = np.moveaxis(book.mean[:, stop] - book.mean[:, start], 0, 2)
    doubt = np.moveaxis((book.sd[:, stop] - book.sd[:, start]) ** 2, 0, 2)
    across = member.swapaxes(1, 2)
    booked = np.matmul(counts, across[:, None]).swapaxes(2, 3)
    return Visitors(rows, booked, np.matmul(mean, across), np.matmul(doubt, across))


def mean_and_variance(
    forecast: Forecast, items: Ints, start: Ints, stop: Ints
) -> tuple[Floats, Floats]:
    """Mean and variance, in steps, of the use of each item over each spell: (items, spells)."""
    seen = visitors(forecast, items, start, stop)
    mean, square = moments(forecast.use)
    mean, square, show = mean[seen.rows], square[seen.rows], forecast.show[seen.rows]
    come = (seen.booked * show[:, None]).sum(axis=3)
    lost = (seen.booked * show[:, None] ** 2).sum(axis=3)
    size, size2 = moments(forecast.loose.pmf[items])
    events = _loose_events(forecast, items, start, stop)
    doubt = events**2 * _loose_k(forecast, items)[:, None]
    expected = _each(come + seen.mean, mean) + events * size[:, None]
    variance = (
        _each(come + seen.mean, square)
        + _each(seen.doubt - lost, mean**2)
        + events * size2[:, None]
        + doubt * size[:, None] ** 2
    )
    return expected, np.maximum(variance, 0)


@dataclass(frozen=True)
class Transforms:
    """Generating functions of use over spells, each (items, spells, circle)."""

    total: Complexes
    booked: Complexes  # of the visits in the book alone
    rows: Ints
    use: Complexes  # (items, profiles, circle)
    k: Floats  # (items, spells)
    excess: Complexes  # A(z)


def transforms(forecast: Forecast, items: Ints, start: Ints, stop: Ints, size: int) -> Transforms:
    """Evaluate the product in this module's first lines on a circle of `size` points."""
    seen = visitors(forecast, items, start, stop)
    use = to_circle(forecast.use, size)[seen.rows]
    logs = _times(_flat(seen.booked), _flat_buckets(np.log(_booked_factor(forecast, seen, use))))
    booked = np.exp(logs)
    mean, _ = moments(forecast.use)
    mean = mean[seen.rows]
    k = _each(seen.doubt, mean**2) / np.maximum(_each(seen.mean, mean) ** 2, 1e-300)
    k = np.maximum(k, POISSON)
    excess = _times(seen.mean, use) - seen.mean.sum(axis=2)[:, :, None]
    batch = to_circle(forecast.loose.pmf[items], size)[:, None]
    loose = _loose_events(forecast, items, start, stop)[:, :, None] * (batch - 1)
    loose_k = _loose_k(forecast, items)[:, None, None]
    logs += gamma_poisson_log(k[:, :, None], excess) + gamma_poisson_log(loose_k, loose)
    return Transforms(np.exp(logs), booked, seen.rows, use, k, excess)


def need_transforms(
    forecast: Forecast, items: Ints, day: Ints, found: Transforms
) -> tuple[Complexes, Complexes, Floats, Floats]:
    """Visits of one day that need the item, joined with the use up to that day's end.

    For days (items, spells), with `found` the transforms of days 0..day, gives E[M z^D] for all
    visits and for booked ones alone, and E[M] for both; M counts the day's visits that use at
    least one step. From differentiating the product (for mixed Poisson arrivals: the size-biased
    rate). Dividing by a factor undoes it in the product.
    """
    seen = visitors(forecast, items, day, day + 1)
    none = forecast.use[seen.rows, 0]
    needing = found.use - none[:, :, None]
    show = forecast.show[seen.rows]
    ratio = needing[:, :, None] * show[..., None] / _booked_factor(forecast, seen, found.use)
    from_book = _times(_flat(seen.booked), _flat_buckets(ratio))
    fresh = _times(seen.mean, needing) / (1 - found.k[:, :, None] * found.excess)
    come = _each((seen.booked * show[:, None]).sum(axis=3), 1 - none)
    return (
        found.total * (from_book + fresh),
        found.booked * from_book,
        come + _each(seen.mean, 1 - none),
        come,
    )


def demand_pmf(forecast: Forecast, items: Ints, days: Ints, size: int) -> Floats:
    """First `size` chances of the use, in steps, over the first `days` days.

    `items` (items,), `days` (items, spells); the answer is (items, spells, size).
    """
    return spell_pmf(forecast, items, np.zeros_like(days), days, size)


def spell_pmf(forecast: Forecast, items: Ints, start: Ints, stop: Ints, size: int) -> Floats:
    """As `demand_pmf`, for days start..stop-1."""
    wide = circle_size(size)
    parts = [
        from_circle(transforms(forecast, items[at], start[at], stop[at], wide).total, wide)
        for at in chunks(forecast, items, start.shape[1], wide)
    ]
    empty = np.zeros((0, start.shape[1], wide))
    return np.concatenate([empty, *parts])[:, :, :size]


def chunks(forecast: Forecast, items: Ints, spells: int, size: int) -> Iterator[slice]:
    """Slices of `items` small enough to be worked on at once."""
    profiles = int(np.diff(forecast.first)[items].max(initial=1)) * forecast.show.shape[1]
    many = max(1, CHUNK // ((size // 2 + 1) * max(profiles, 4 * spells)))
    for begin in range(0, len(items), many):
        yield slice(begin, begin + many)


def _padded_rows(forecast: Forecast, items: Ints) -> Ints:
    begin, end = forecast.first[items][:, None], forecast.first[items + 1][:, None]
    rows = begin + np.arange(max(1, int((end - begin).max(initial=1))))
    return np.where(rows < end, rows, len(forecast.use) - 1)


def _booked_factor(forecast: Forecast, seen: Visitors, use: Complexes) -> Complexes:
    """1 - q + q u(z): (items, profiles, buckets, circle)."""
    show = forecast.show[seen.rows][..., None]
    return nonzero(1 - show + show * use[:, :, None])


def _loose_events(forecast: Forecast, items: Ints, start: Ints, stop: Ints) -> Floats:
    return forecast.loose.daily[items][:, None] * (stop - start)


def _loose_k(forecast: Forecast, items: Ints) -> Floats:
    shape = forecast.loose.shape[items]
    return np.where(shape > 0, 1 / np.maximum(shape, 1e-300), POISSON)


def _each(counts: Floats, per_visit: Floats) -> Floats:
    """Sum over profiles: (items, spells, profiles) with (items, profiles)."""
    summed: Floats = np.matmul(counts, per_visit[:, :, None])[:, :, 0]
    return summed


def _times(counts: Floats, values: Complexes) -> Complexes:
    """Real (items, spells, n) times complex (items, n, circle), without making counts complex."""
    flat = np.ascontiguousarray(values).view(np.float64)
    summed: Complexes = np.matmul(counts, flat).view(np.complex128)
    return summed


def _flat(counts: Floats) -> Floats:
    return counts.reshape(*counts.shape[:2], -1)


def _flat_buckets(values: Complexes) -> Complexes:
    return values.reshape(values.shape[0], -1, values.shape[3])
