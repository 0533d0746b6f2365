"""What a service really uses, learnt from the close-outs and held to the set-up while few.

For service s and item i the chance of using k steps is the mean of a Dirichlet posterior:

    p(k) = (m0 * set_up(k) + n(k)) / (m0 + n)

where n(k) counts closed visits with k steps (older ones count less: half after
`HALF_LIFE_DAYS`), and `set_up` is a narrow pmf centred on the set-up quantity, worth m0 =
`PSEUDO_SERVICES` services (Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 3.4).
The sizes of m0, of the half-life and of the spread are our choice.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from consumables.reorder.chances import Floats, Ints
from consumables.reorder.set_up_pairs import CloseOuts, Pairs
from consumables.reorder.visits import Visits

PSEUDO_SERVICES = 4.0
HALF_LIFE_DAYS = 182.0
SPREAD = 0.2  # of the set-up quantity's chance goes to its two neighbours
MOST_STEPS = 255  # one record of more is taken as this many
FINE_STEPS = 32  # millilitres and grams: a usual quantity is counted in at most so many steps
ENOUGH_SEEN = 8  # close-outs before practice is said to drift from the set-up


@dataclass(frozen=True)
class Use:
    """Use of items by services; one row per pair of the two.

    `pmf` is (pairs, steps). `practice` is the plain weighted mean of the close-outs in units
    (nan if none were seen) and `spread` the standard deviation of one close-out.
    """

    pmf: Floats
    seen: Ints  # close-outs looked at
    practice: Floats
    spread: Floats


def step_sizes(items: pd.DataFrame, usual: Floats) -> Ints:
    """Units in one step, per item: 1 for pieces, the dose for millilitres and grams.

    `usual` is the largest set-up quantity. A step so fine that a usual quantity takes more than
    `FINE_STEPS` of them (pieces: `MOST_STEPS`) is doubled until it does not.
    """
    measured = items["unit"].isin(["ml", "g"]).to_numpy()
    dose = np.where(measured, np.maximum(items["dose"].to_numpy(dtype=np.int64), 1), 1)
    most = dose * np.where(measured, FINE_STEPS, MOST_STEPS)
    doublings = np.ceil(np.log2(np.maximum(usual / most, 1))).astype(np.int64)
    step: Ints = dose * 2**doublings
    return step


def usual_quantity(pairs: Pairs, items: int) -> Floats:
    """Largest set-up quantity of each item, in units."""
    usual = np.zeros(items)
    np.maximum.at(usual, pairs.item, pairs.set_up.astype(np.float64))
    return usual


def set_up_pmf(steps: Floats, width: int) -> Floats:
    """Prior pmf of each row centred on `steps` (which need not be whole): (pairs, width)."""
    below = np.floor(steps).astype(np.int64)
    above = steps - below
    side = np.where(below >= 1, SPREAD / 2, 0.0)
    pmf = np.zeros((len(steps), width))
    for shift, share in ((-1, side), (0, 1 - 2 * side), (1, side)):
        for up, part in ((0, 1 - above), (1, above)):
            where = np.clip(below + shift + up, 0, width - 1)
            np.add.at(pmf, (np.arange(len(steps)), where), share * part)
    return pmf


def learn_use(visits: Visits, closed: CloseOuts, pairs: Pairs, step: Ints) -> Use:
    """Posterior use of every pair. `step` (items) is the units in one step."""
    weight = 0.5 ** (np.maximum(-visits.day[closed.visit], 0) / HALF_LIFE_DAYS)
    practice, spread = _plain_mean(closed, weight, len(pairs))
    return Use(
        pmf=_posterior(closed, pairs, step, weight),
        seen=np.bincount(closed.pair, minlength=len(pairs)),
        practice=practice,
        spread=spread,
    )


def drift(use: Use, pairs: Pairs, services: tuple[str, ...], items: pd.Index) -> pd.DataFrame:
    """Where practice has left the set-up, widest first.

    Columns service, item, set_up, practice (units a service), services_seen. A pair is listed
    when at least `ENOUGH_SEEN` close-outs differ from the set-up by a quarter of a unit (a fifth
    of the quantity, if more) and by two standard errors.
    """
    with np.errstate(invalid="ignore"):
        gap = np.abs(use.practice - pairs.set_up)
        matters = gap >= np.maximum(0.25, 0.2 * pairs.set_up)
        sure = gap > 2 * use.spread / np.sqrt(np.maximum(use.seen, 1))
    listed = np.flatnonzero(matters & sure & (use.seen >= ENOUGH_SEEN))
    listed = listed[np.argsort(-gap[listed], kind="stable")]
    return pd.DataFrame(
        {
            "service": [services[s] for s in pairs.service[listed]],
            "item": items[pairs.item[listed]],
            "set_up": pairs.set_up[listed],
            "practice": use.practice[listed],
            "services_seen": use.seen[listed],
        }
    )


def _posterior(closed: CloseOuts, pairs: Pairs, step: Ints, weight: Floats) -> Floats:
    """Dirichlet mean; a quantity between two steps is shared so that its mean is kept."""
    steps = np.minimum(closed.units / step[pairs.item[closed.pair]], MOST_STEPS)
    prior = np.minimum(pairs.set_up / step[pairs.item], MOST_STEPS)
    width = int(max(steps.max(initial=0), prior.max(initial=0))) + 3
    below = np.floor(steps).astype(np.int64)
    mass = PSEUDO_SERVICES * set_up_pmf(prior, width)
    for up, share in ((0, 1 - (steps - below)), (1, steps - below)):
        cell = closed.pair * width + below + up
        mass += np.bincount(cell, weights=weight * share, minlength=mass.size).reshape(mass.shape)
    posterior: Floats = mass / mass.sum(axis=1, keepdims=True)
    return posterior


def _plain_mean(closed: CloseOuts, weight: Floats, pairs: int) -> tuple[Floats, Floats]:
    def total(values: Floats) -> Floats:
        return np.bincount(closed.pair, values, pairs).astype(np.float64)

    with np.errstate(invalid="ignore", divide="ignore"):
        mean = total(weight * closed.units) / total(weight)
        square = total(weight * closed.units**2) / total(weight)
    return mean, np.sqrt(np.maximum(square - mean**2, 0))
