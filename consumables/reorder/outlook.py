"""How one item stands: what is there, what is asked of it, and when the shelf is bare."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from consumables.reorder.chances import Floats
from consumables.reorder.forecast import Learnt
from consumables.reorder.shelf_life import NEVER
from consumables.reorder.week import Week


@dataclass(frozen=True)
class Outlook:
    """What is known of one item on the day of ordering; quantities in its own unit.

    The three needs are means from today until the next order would arrive, at the latest on
    `until`. `service_now` and `calm_now` are the service fill, and the chance that nothing is
    short, if nothing is ordered; `bare_on` is the first day on which the mean need exceeds what
    is there.
    """

    item: str
    name: str
    unit: str
    on_hand: int
    on_order: int
    usable: int
    past_use_by: int
    will_expire: float  # expected units of the stock on hand, over all their use-by dates
    earliest_use_by: date | None
    booked_need: float
    forecast_need: float
    loose_need: float
    until: date
    days_of_cover: int | None  # None: beyond the forecast
    bare_on: date | None
    visit_at_risk: str  # first booked visit that needs it from `bare_on` on, or ''
    visit_on: date | None
    keep_at_least: int
    unit_level: int  # level for the same target by unit fill
    service_now: float
    calm_now: float
    service_after: float
    unit_fill_after: float


def outlook(week: Week, route: int, ordered: int) -> Outlook:
    """The outlook of the item of one route if `ordered` units are bought."""
    stand, levels = week.stand, week.levels
    item = int(week.market.routes.item[route])
    step = int(stand.forecast.step[item])
    lead = week.market.routes.lead[route]
    last = week.review + int(week.market.routes.last_day[route])
    bare = _bare_day(
        stand.pace.total[item], int(week.usable[item]), stand.shelf.arriving[item], last
    )
    visit, visit_day = _at_risk(stand.learnt, item, bare)
    position = week.needs[item].position
    curves = levels.curves[route]
    row = stand.items.iloc[item]
    return Outlook(
        item=week.needs[item].item,
        name=str(row["name"]),
        unit=str(row["unit"]),
        on_hand=int(stand.shelf.on_hand[item]),
        on_order=int(stand.shelf.on_order[item]),
        usable=int(week.usable[item]),
        past_use_by=int(stand.shelf.past[item]),
        will_expire=float(stand.shelf.outdates[stand.shelf.lots.item == item].sum()),
        earliest_use_by=_day(stand.as_of, int(stand.shelf.first_use_by[item])),
        booked_need=_until(stand.pace.booked[item], lead, week.review),
        forecast_need=_until(stand.pace.unbooked[item], lead, week.review),
        loose_need=_until(stand.pace.loose[item], lead, week.review),
        until=stand.as_of + timedelta(days=last),
        days_of_cover=cover_of(week, item),
        bare_on=_day(stand.as_of, bare),
        visit_at_risk=visit,
        visit_on=_day(stand.as_of, visit_day),
        keep_at_least=int(row["keep_at_least"]),
        unit_level=int(levels.unit_level[week.market.offer_route == route].min()) * step,
        service_now=curves.at("service", position // step),
        calm_now=curves.at("calm", position // step),
        service_after=curves.at("service", (position + ordered) // step),
        unit_fill_after=curves.at("units", (position + ordered) // step),
    )


def cover_of(week: Week, item: int) -> int | None:
    """Days that the usable stock of one item lasts; None if longer than the forecast reaches."""
    used = np.cumsum(week.stand.pace.total[item])
    days = int((used <= week.usable[item] + 1e-9).sum())
    return days if days < len(used) else None


def _day(as_of: date, days: int | None) -> date | None:
    return None if days is None or days == NEVER else as_of + timedelta(days=days)


def _until(daily: Floats, lead: Floats, review: int) -> float:
    """Mean need until the next order arrives, over the lead time's chances."""
    total = np.concatenate([[0.0], np.cumsum(daily)])
    return float(lead @ total[review : review + len(lead)])


def _bare_day(daily: Floats, usable: int, arriving: Floats, last: int) -> int | None:
    """First day before `last` whose mean need exceeds what is there and due by then."""
    there = usable + np.cumsum(arriving[:last])
    bare = np.flatnonzero(np.cumsum(daily[:last]) > there + 1e-9)
    return int(bare[0]) if len(bare) else None


def _at_risk(learnt: Learnt, item: int, bare: int | None) -> tuple[str, int | None]:
    """First visit in the book that needs the item on or after the day the shelf is bare."""
    visits = learnt.visits
    mine = np.flatnonzero(learnt.pairs.item == item)
    needs_it = learnt.pairs.counts_in[:, mine].sum(axis=1) > 0
    asked = np.logical_and(visits.to_come, needs_it[visits.kind])
    if bare is None or not (asked & (visits.day >= bare)).any():
        return "", None
    first = int(np.argmax(asked & (visits.day >= bare)))
    return str(visits.names[first]), int(visits.day[first])
