"""The visits of the weeks to come: those in the book, thinned by who stays away, and those not
booked yet.

Booked: each visit happens with a chance that depends on its service and on how many days ahead
it is (beta prior, shrunk to the whole shop). Not booked yet: *additive pickup*. What a day still
gains when it is k days ahead is the mean of what past days gained from k days ahead on
(Weatherford & Kimes 2003, Int. J. Forecasting 19(3)), by kind of visit; the weekly rate behind it
is gamma-Poisson, so that few weeks of history give a wide forecast. Where the booking dates are
not recorded, a week is expected to fill to its usual number (gamma-Poisson, recent weeks weighted
more), less what is booked already. The fullest of the next six weeks counts as one week of
history more where it is fuller than the past, and as two in a shop without a past.

Assumed and stated: the weekday pattern is the shop's, not the service's; no season, trend,
holiday or capacity yet (recent weeks simply count more); a cancelled visit counts as a miss only
as far ahead as it was booked, because the day of cancelling is not known, which errs on the side
of "she will come"; all sizes of priors and half-lives are our choice.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from consumables.reorder.chances import Floats, Ints
from consumables.reorder.visits import UNKNOWN, Bools, Status, Visits

HORIZON_DAYS = 400  # nothing is planned further ahead than about a year
HALF_LIFE_DAYS = 56.0  # for weekly rates
SHOW_HALF_LIFE_DAYS = 182.0
SHOW_PRIOR = (9.5, 0.5)  # ten bookings of which half a one stays away
SHRINK = 10.0  # bookings that the whole shop's figure is worth for one service
BUCKETS = np.array([0, 2, 4, 8, 15])  # first days-ahead of each bucket
CALENDAR_WORTH = (1.0, 2.0)  # weeks of history that the fullest week is worth: with, without any
PRIOR_VISITS = 0.5  # Jeffreys' prior for a Poisson rate
NEVER_SEEN = (2.0, 26.0)  # visits, weeks: on offer but never done or booked: once a quarter
LONGEST_LEAD = 60  # bookings made further ahead count as this far
NEWEST_DAYS = 28  # a new service is judged on no fewer days
CALENDAR_WEEKS = 6


@dataclass(frozen=True)
class Book:
    """Visits expected from today (day 0) on, by kind of visit.

    `booked` (kinds, buckets, days) counts visits in the book and `show` (kinds, buckets) is the
    chance that one happens. `mean` (kinds, days + 1) is the number not booked yet that will
    happen before each day, and `sd` what is not known about that mean (not the Poisson spread).
    `by_pickup` is false where weekly rates had to do.
    """

    booked: Floats
    show: Floats
    mean: Floats
    sd: Floats
    by_pickup: Bools


def expect_visits(visits: Visits, weekday: int, horizon: int = HORIZON_DAYS) -> Book:
    """Everything `Book` holds; `weekday` is today's, Monday = 0."""
    booked = booked_visits(visits, horizon)
    show = show_chances(visits)
    share = day_shares(visits, weekday, horizon)
    weight = _weight(visits, HALF_LIFE_DAYS)
    leads = lead_counts(visits, weight)
    known = _known_share(visits, weight)
    by_pickup = known >= 0.5
    expected = (booked * show[:, :, None]).sum(axis=1)
    seen, weeks = weight_by_kind(visits, np.where(visits.done, weight, 0.0)), _weeks_seen(visits)
    prior, prior_weeks = _prior(visits, expected, seen, weeks)
    rate = prior_weeks + weeks
    pooled = (leads.sum(axis=0) + 1e-9) / (leads.sum() + 1e-9 * leads.shape[1])
    counted = leads / np.maximum(known, 0.5)[:, None]
    mean, sd = pickup(counted + prior[:, None] * pooled, rate, share)
    filling = _weekly(seen + prior, rate, share, expected)
    return Book(
        booked=booked,
        show=show,
        mean=np.where(by_pickup[:, None], mean, filling[0]),
        sd=np.where(by_pickup[:, None], sd, filling[1]),
        by_pickup=by_pickup,
    )


def bucket_of(days_ahead: Ints) -> Ints:
    """Which of `BUCKETS` a number of days ahead falls in."""
    return np.searchsorted(BUCKETS, days_ahead, side="right") - 1


def booked_visits(visits: Visits, horizon: int) -> Floats:
    """Visits in the book: (kinds, buckets, days)."""
    counts = np.zeros((visits.kinds, len(BUCKETS), horizon))
    seen = visits.to_come & (visits.day < horizon)
    day = visits.day[seen]
    np.add.at(counts, (visits.kind[seen], bucket_of(day), day), 1.0)
    return counts


def show_chances(visits: Visits) -> Floats:
    """Chance that a booked visit happens: (kinds, buckets).

    Beta posterior mean for the whole shop, then for each service with the shop's figure worth
    `SHRINK` bookings; a kind of several services takes the highest of theirs. A past visit was on
    the book in every bucket no further ahead than its booking.
    """
    weight = _weight(visits, SHOW_HALF_LIFE_DAYS)
    first = np.where(visits.ahead == UNKNOWN, 0, visits.ahead)
    on_book = first[:, None] >= BUCKETS
    at_booking = bucket_of(first)[:, None] == np.arange(len(BUCKETS))
    dropped = (visits.status == Status.CANCELLED) & (visits.ahead != UNKNOWN)
    shows = on_book & (visits.status == Status.SERVED)[:, None]
    misses = on_book & (visits.status == Status.NO_SHOW)[:, None]
    misses |= at_booking & dropped[:, None]
    came, missed = (_by_service(visits, weight[:, None] * found) for found in (shows, misses))
    shop_came, shop_missed = ((weight[:, None] * found).sum(axis=0) for found in (shows, misses))
    shop = (SHOW_PRIOR[0] + shop_came) / (sum(SHOW_PRIOR) + shop_came + shop_missed)
    service = (SHRINK * shop + came) / (SHRINK + came + missed)
    best: Floats = np.where(visits.holds[:, :, None], service, 0.0).max(axis=1, initial=0.0)
    return best


def day_shares(visits: Visits, weekday: int, horizon: int) -> Floats:
    """Share of a week's visits that falls on each coming day: (days,), any seven sum to 1."""
    past = np.where(visits.done, _weight(visits, HALF_LIFE_DAYS), 0.0)
    weight = np.where(visits.to_come & (visits.day < 7 * CALENDAR_WEEKS), 1.0, past)
    share = 0.5 + np.bincount((weekday + visits.day) % 7, weights=weight, minlength=7)
    daily: Floats = (share / share.sum())[(weekday + np.arange(horizon)) % 7]
    return daily


def lead_counts(visits: Visits, weight: Floats) -> Floats:
    """Past visits that took place, by kind and days between booking and visit.

    (kinds, LONGEST_LEAD + 1); visits with an unknown booking day are left out.
    """
    seen = visits.done & (visits.ahead != UNKNOWN)
    counts = np.zeros((visits.kinds, LONGEST_LEAD + 1))
    ahead = np.minimum(visits.ahead[seen], LONGEST_LEAD)
    np.add.at(counts, (visits.kind[seen], ahead), weight[seen])
    return counts


def pickup(shape: Floats, weeks: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Visits still to be booked before each day, and what is not known about their mean.

    `shape` (kinds, leads) is the gamma shape of the weekly bookings made so many days ahead,
    `weeks` (kinds,) its rate, `share` (days,) the share of a week on each day. A day k ahead
    still gains the bookings made fewer than k days ahead, today the same-day ones. Both answers
    are (kinds, days + 1); bookings of different leads have independent rates.
    """
    still = np.arange(shape.shape[1])[:, None] < np.maximum(np.arange(len(share)), 1)
    gained = np.concatenate(
        [np.zeros((shape.shape[1], 1)), np.cumsum(still * share, axis=1)], axis=1
    )
    mean = shape @ gained / weeks[:, None]
    return mean, np.sqrt(shape @ gained**2) / weeks[:, None]


def weight_by_kind(visits: Visits, weight: Floats) -> Floats:
    """Sum of `weight` over the visits of each kind."""
    return np.bincount(visits.kind, weight, visits.kinds).astype(np.float64)


def weeks_of(days: npt.ArrayLike, half_life: float) -> Floats:
    """Weeks that so many past days are worth when a day's weight halves every `half_life`."""
    keep = 0.5 ** (1 / half_life)
    weeks: Floats = keep * (1 - keep ** np.asarray(days, dtype=np.float64)) / (1 - keep) / 7
    return weeks


def _weight(visits: Visits, half_life: float) -> Floats:
    return 0.5 ** (np.maximum(-visits.day, 0) / half_life)


def _by_service(visits: Visits, weight: Floats) -> Floats:
    """(visits, buckets) -> (services, buckets)."""
    kinds = np.zeros((visits.kinds, weight.shape[1]))
    np.add.at(kinds, visits.kind, weight)
    return visits.holds.T.astype(np.float64) @ kinds


def _known_share(visits: Visits, weight: Floats) -> Floats:
    """Share of each kind's past visits with a known booking day; the shop's for new kinds."""
    done = np.where(visits.done, weight, 0.0)
    known = np.where(visits.ahead != UNKNOWN, done, 0.0)
    shop = known.sum() / done.sum() if done.sum() else 0.0
    many = weight_by_kind(visits, done)
    return np.where(many > 0, weight_by_kind(visits, known) / np.maximum(many, 1e-300), shop)


def _prior(visits: Visits, expected: Floats, seen: Floats, weeks: Floats) -> tuple[Floats, Floats]:
    """Visits of each kind added to its past, and the weeks they stand for.

    Half a visit; the calendar's fullest week where it is fuller than the past; once a quarter
    for a service that was never done or booked.
    """
    days = min(7 * CALENDAR_WEEKS, expected.shape[1] // 7 * 7)
    weekly = expected[:, :days].reshape(len(expected), days // 7, 7).sum(axis=2)
    fullest = weekly.max(axis=1, initial=0.0)
    never = (fullest == 0) & (seen == 0)
    fuller = never | (fullest * weeks > seen) | (weeks == 0)
    count = np.where(never, NEVER_SEEN[0], PRIOR_VISITS) * visits.single
    worth = fuller * np.maximum(CALENDAR_WORTH[0], CALENDAR_WORTH[1] - weeks)
    return count + fullest * worth, np.where(never, NEVER_SEEN[1], worth)


def _weeks_seen(visits: Visits) -> Floats:
    """Weighted weeks in which each kind could have been seen, from its newest service on."""
    done = np.flatnonzero(visits.done)
    first = np.zeros(len(visits.services), dtype=np.int64)
    held = visits.holds[visits.kind[done]]
    np.minimum.at(first, np.nonzero(held)[1], np.repeat(visits.day[done], held.sum(axis=1)))
    oldest = -visits.history_days
    newest = np.where(visits.holds, first, oldest).max(axis=1, initial=oldest)
    days = np.minimum(visits.history_days, np.maximum(NEWEST_DAYS, -newest))
    return weeks_of(days, HALF_LIFE_DAYS)


def _weekly(shape: Floats, weeks: Floats, share: Floats, expected: Floats) -> tuple[Floats, Floats]:
    """As `pickup`, from weekly rates: each coming week fills to its usual number."""
    usual = shape / weeks
    blocks = np.arange(len(share)) // 7
    booked = np.zeros((len(shape), blocks[-1] + 1))
    np.add.at(booked.T, blocks, expected.T)
    room = np.clip(1 - booked / np.maximum(usual, 1e-300)[:, None], 0, 1)[:, blocks]
    gained = np.concatenate([np.zeros((len(shape), 1)), np.cumsum(room * share, axis=1)], axis=1)
    mean = usual[:, None] * gained
    return mean, np.sqrt(shape)[:, None] * gained / weeks[:, None]
