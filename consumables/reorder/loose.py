"""Use that belongs to no visit: jars mixed, spills, breakages, pieces retired, waste.

Per item the number of such events is Poisson with a gamma rate (Jeffreys' prior shape 0.5, one
week of prior weight), and the size of one event is what was seen; an item that was never used
this way is expected not to be. Older events count less.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from consumables.reorder.bookings import weeks_of
from consumables.reorder.chances import Floats, Ints

HALF_LIFE_DAYS = 182.0
PRIOR_WEEKS = 1.0
MOST_STEPS = 1023


@dataclass(frozen=True)
class LooseUse:
    """Per item: `daily` mean events a day, gamma `shape`, and `pmf` (items, steps) of one."""

    daily: Floats
    shape: Floats
    pmf: Floats


def learn_loose(item: Ints, day: Ints, units: Floats, step: Ints, history_days: int) -> LooseUse:
    """Learn from past events: `item` and `day` (negative in the past) and `units` of each.

    `step` (items) is the units in one step; `history_days` how long such use was recorded.
    """
    past = day <= 0
    item, day, units = item[past], day[past], units[past]
    weight = 0.5 ** (-day / HALF_LIFE_DAYS)
    steps = np.minimum(units / step[item], MOST_STEPS)
    below = np.floor(steps).astype(np.int64)
    width = int(steps.max(initial=0)) + 2
    mass = np.zeros(len(step) * width)
    for up, share in ((0, 1 - (steps - below)), (1, steps - below)):
        mass += np.bincount(item * width + below + up, weight * share, minlength=len(mass))
    pmf = mass.reshape(len(step), width)
    events = pmf.sum(axis=1)
    pmf[events == 0, 0] = 1.0
    shape = np.where(events > 0, events + 0.5, 0.0)
    weeks = PRIOR_WEEKS + weeks_of(history_days, HALF_LIFE_DAYS)
    return LooseUse(shape / weeks / 7, shape, pmf / pmf.sum(axis=1, keepdims=True))


def loose_events(loose_use: pd.DataFrame, day: Ints, items: pd.Index) -> tuple[Ints, Ints, Floats]:
    """Item, day and units of the events of known items, in a fixed sequence."""
    item = items.get_indexer(pd.Index(loose_use["item"], dtype=object))
    units = loose_use["quantity"].to_numpy(dtype=np.float64)
    order = np.lexsort((units, day, item))
    order = order[item[order] >= 0]
    return item[order], day[order], units[order]
