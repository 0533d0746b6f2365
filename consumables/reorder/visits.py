"""Every visit once, whatever it holds: when, how far ahead it was booked, and how it ended.

A *kind* of visit is the set of services done in it. Two services in one visit come or stay away
together, and share what is needed once per visit; so kinds are counted, not single services.
"""

from dataclasses import dataclass
from datetime import date
from enum import IntEnum

import numpy as np
import numpy.typing as npt
import pandas as pd

from consumables.reorder.chances import Ints
from consumables.reorder.tables import BadTable, days_from

Bools = npt.NDArray[np.bool_]
UNKNOWN = -1  # booked on an unknown day


class Status(IntEnum):
    """How a visit stands; the words are those of the appointments table."""

    BOOKED = 0
    SERVED = 1
    NO_SHOW = 2
    CANCELLED = 3


STATUS = {"booked": 0, "served": 1, "no-show": 2, "cancelled": 3}


@dataclass(frozen=True)
class Visits:
    """All visits of a shop, sorted by day and name.

    `day` counts from today (0), `ahead` is the days between booking and visit (`UNKNOWN` if not
    recorded), `kind` points into the rows of `holds`: (kinds, services) true where a service is
    part of the kind. Every service has a kind of its own, seen or not.
    """

    names: pd.Index
    day: Ints
    ahead: Ints
    status: Ints
    kind: Ints
    holds: Bools
    services: tuple[str, ...]

    @property
    def kinds(self) -> int:
        return len(self.holds)

    @property
    def single(self) -> Bools:
        """True for the kinds of one service."""
        alone: Bools = self.holds.sum(axis=1) == 1
        return alone

    @property
    def done(self) -> Bools:
        """Visits before today that used something up: served, or never closed."""
        kept = (self.status == Status.SERVED) | (self.status == Status.BOOKED)
        done: Bools = (self.day < 0) & kept
        return done

    @property
    def to_come(self) -> Bools:
        booked: Bools = (self.day >= 0) & (self.status == Status.BOOKED)
        return booked

    @property
    def history_days(self) -> int:
        """Days since the first visit on record, 0 without a past."""
        return int(max(0, -self.day.min())) if len(self.day) else 0


def read_visits(appointments: pd.DataFrame, services: set[str], as_of: date) -> Visits:
    """Turn the appointments table (one row per visit and service) into visits.

    `services` are those known besides, e.g. from the set-ups. Raises BadTable when the rows of
    one visit disagree on its day or status.
    """
    every = tuple(sorted(services | set(appointments["service"].unique())))
    code, names = pd.factorize(appointments["visit"], sort=True)
    member = np.zeros((len(names), len(every)), dtype=bool)
    named = pd.Index(appointments["service"], dtype=object)
    member[code, pd.Index(every, dtype=object).get_indexer(named)] = True
    first = _first_rows(code, len(names))
    _refuse_disagreement(appointments, code, first)
    rows = appointments.iloc[first]
    day = days_from(as_of, rows["starts_on"]).to_numpy(dtype=np.int64)
    ahead = days_from(as_of, rows["booked_on"])
    ahead = (day - ahead).clip(lower=0).fillna(UNKNOWN).to_numpy(dtype=np.int64)
    everything = np.vstack([np.eye(len(every), dtype=bool), member])
    first_of, kind = _distinct(everything)
    order = np.argsort(day, kind="stable")
    return Visits(
        names=pd.Index(names, dtype=object)[order],
        day=day[order],
        ahead=ahead[order],
        status=rows["status"].map(STATUS).to_numpy().astype(np.int64)[order],
        kind=kind[len(every) :][order],
        holds=everything[first_of],
        services=every,
    )


def _distinct(rows: Bools) -> tuple[Ints, Ints]:
    """Where each distinct row stands first, and which of them every row is.

    Thirty services at a time make one number, which sorts much faster than the rows themselves.
    """
    code = np.zeros(len(rows), dtype=np.int64)
    first = np.zeros(min(1, len(rows)), dtype=np.int64)
    for begin in range(0, rows.shape[1], 30):
        word = rows[:, begin : begin + 30] @ (1 << np.arange(min(30, rows.shape[1] - begin)))
        _, first, code = np.unique(code << 30 | word, return_index=True, return_inverse=True)
    return first, code


def _first_rows(code: Ints, visits: int) -> Ints:
    first = np.full(visits, len(code), dtype=np.int64)
    np.minimum.at(first, code, np.arange(len(code)))
    return first


def _refuse_disagreement(appointments: pd.DataFrame, code: Ints, first: Ints) -> None:
    for column in ("starts_on", "status"):
        cells = appointments[column].to_numpy()
        differs = cells != cells[first][code]
        if differs.any():
            visit = appointments["visit"].iloc[int(differs.argmax())]
            raise BadTable(
                f"The table 'appointments' gives visit '{visit}' more than one {column}. "
                "Every row of one visit needs the same."
            )
