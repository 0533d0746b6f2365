"""How high a shelf must be filled so that the services of the coming weeks are served.

Orders are placed every R days and take L days; what is ordered today must last until the next
order can arrive, the *protection interval* of R + L days. A *curve* is an array whose entry S is
the service reached when stock on hand and on order is brought to S. Three measures:

* unit fill, the share of units handed over at once (Sobel 2004, M&SOM 6(1); Zhang & Zhang 2007;
  Boylan & Syntetos 2021, ch. 3): 1 - [E(D_{R+L} - S)+ - E(D_L - S)+] / E(D_R);
* service fill, the share of services needing the item whose need is met from the shelf (see
  `protection`);
* cycle service, the chance that a whole protection interval passes without anything short. It
  is shown, never aimed at: with rare use it looks good on an empty shelf.
"""

import numpy as np

from consumables.reorder.chances import Floats, Ints

CLOSE = 1e-9  # a target missed by no more than rounding is met


def expected_short(level: int, pmf: Floats, mean: float | None = None) -> float:
    """E(D - S)+ = E(D) - sum over k < S of P(D > k); give `mean` if the pmf is cut off."""
    average = float(pmf @ np.arange(len(pmf))) if mean is None else mean
    reached = np.cumsum(pmf)[:level]
    return average - float((1 - reached).sum())


def fill_rate(
    level: int, lead_demand: Floats, protection_demand: Floats, review_mean: float | None = None
) -> float:
    """Unit fill of order-up-to level S from the pmfs of D_L and D_{R+L} (whole pmfs).

    `review_mean` is E(D_R), by default the difference of the two means.
    """
    if review_mean is None:
        review_mean = expected_short(0, protection_demand) - expected_short(0, lead_demand)
    short = expected_short(level, protection_demand) - expected_short(level, lead_demand)
    return 1 - short / review_mean


def fill_curve(lead_demand: Floats, protection_demand: Floats, review_mean: Floats) -> Floats:
    """Unit fill for S = 0, 1, ... of many rows: (rows, n), (rows, n), (rows,) -> (rows, n).

    The formula of `fill_rate` rearranged to sum over k < S of [F_L(k) - F_{R+L}(k)] / E(D_R),
    which needs only the lower part of the pmfs. Rows without use have fill 1.
    """
    gap = np.cumsum(lead_demand - protection_demand, axis=1)
    below = np.cumsum(gap, axis=1) - gap
    none = np.asarray(review_mean) <= 0
    return np.where(none[:, None], 1.0, below / np.where(none, 1.0, review_mean)[:, None])


def cycle_service(level: int, protection_demand: Floats) -> float:
    """Chance that the use of one protection interval does not exceed S."""
    return float(protection_demand[: level + 1].sum())


def pack_average(curve: Floats, packs: Ints) -> Floats:
    """Service when packs of Q are ordered as soon as the position falls under s: (R, s, nQ).

    After ordering the position lies on s..s+Q-1, in the long run evenly (Hadley & Whitin 1963;
    Zheng & Chen 1992), so entry s is the mean of `curve` over s..s+Q-1; beyond its end the curve
    counts as 1. `curve` is (rows, n), `packs` (rows,) in steps.
    """
    rows, size = curve.shape
    sums = np.concatenate([np.zeros((rows, 1)), np.cumsum(curve, axis=1)], axis=1)
    stop = np.arange(size) + packs[:, None]
    inside = np.take_along_axis(sums, np.minimum(stop, size), axis=1) - sums[:, :-1]
    average: Floats = (inside + np.maximum(stop - size, 0)) / packs[:, None]
    return average


def smallest_level(curve: Floats, target: float) -> Ints:
    """Smallest S of each row whose service meets the target; -1 where the curve ends before."""
    met = curve >= target - CLOSE
    return np.where(met.any(axis=1), met.argmax(axis=1), -1)


def level_for_fill(
    lead_demand: Floats, protection_demand: Floats, review_mean: float, target: float, pack: int = 1
) -> int:
    """Smallest s for a unit-fill target; with `pack` > 1 under (R, s, nQ)."""
    curve = fill_curve(lead_demand[None], protection_demand[None], np.array([review_mean]))
    return int(smallest_level(pack_average(curve, np.array([pack])), target)[0])
