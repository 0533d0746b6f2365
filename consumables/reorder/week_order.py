"""The week's order in one call: tables in, an explained order list out.

Tables are pandas frames (see also docs/reorder_maths.md). Columns marked * are needed; the
others may be missing or blank.

items         item*, name, unit (each | ml | g), dose, category (disinfectable | single-use |
              replaceable-surface; blank counts as single-use), shelf_life_days,
              after_opening_days, keep_at_least. What comes back from the wash (disinfectable,
              replaceable-surface) is used up by loose use only; the surface that is stripped is
              an item of its own, with its own set-up line.
offers        offer*, supplier*, item*, pack_size* (in the item's unit), price*, break_packs,
              break_price
suppliers     supplier*, name, lead_days* (dict of whole days to chances that sum to 1),
              minimum_order, shipping_fee, free_shipping_from
set_ups       service*, item*, quantity*, once_per_visit
appointments  visit*, service*, starts_on* (the shop's local date), booked_on, status (booked |
              served | no-show | cancelled); one row per visit and service, past and to come
usage         visit*, service, item*, quantity*: what the close-outs recorded
loose_use     on*, item*, quantity*: use that belongs to no visit
stock         item*, lot, on_hand*, use_by (last day of use; for an opened lot its own date)
on_order      item*, units*, due
"""

from datetime import date, timedelta

import numpy as np
import pandas as pd

from consumables.reorder.order_list import OrderList, order_list
from consumables.reorder.order_plan import plan
from consumables.reorder.shelf_life import NEVER
from consumables.reorder.week import PACE_DAYS, read_tables, take_stock, work_out


def week_order(
    items: pd.DataFrame,
    offers: pd.DataFrame,
    suppliers: pd.DataFrame,
    set_ups: pd.DataFrame,
    appointments: pd.DataFrame,
    usage: pd.DataFrame | None = None,
    loose_use: pd.DataFrame | None = None,
    stock: pd.DataFrame | None = None,
    on_order: pd.DataFrame | None = None,
    *,
    as_of: date,
    review_days: int = 7,
    target: float = 0.99,
) -> OrderList:
    """The order list of the day `as_of`, the next order being placed `review_days` later.

    `target` is the share of services to be served from the shelf. The sequence of rows changes
    nothing. Raises BadTable (a sentence naming table, row and column) and then plans nothing.
    """
    tables = read_tables(
        {
            "items": items,
            "offers": offers,
            "suppliers": suppliers,
            "set_ups": set_ups,
            "appointments": appointments,
            "usage": usage,
            "loose_use": loose_use,
            "stock": stock,
            "on_order": on_order,
        }
    )
    week = work_out(tables, as_of, review_days, target)
    return order_list(week, plan(week.needs, week.offers, week.suppliers))


def stock_projection(
    items: pd.DataFrame,
    set_ups: pd.DataFrame,
    appointments: pd.DataFrame,
    usage: pd.DataFrame | None = None,
    loose_use: pd.DataFrame | None = None,
    stock: pd.DataFrame | None = None,
    on_order: pd.DataFrame | None = None,
    *,
    as_of: date,
) -> pd.DataFrame:
    """How long every item lasts, for the shelf screen; one row per item, sorted by item.

    Columns item, name, unit, on_hand (units within their use-by date), past_use_by, on_order,
    will_expire (expected units), daily_use (mean of the next four weeks), days_of_cover (whole
    days that what is on hand lasts; blank beyond about a year), runs_out_on, earliest_use_by.
    """
    tables = read_tables(
        {
            "items": items,
            "set_ups": set_ups,
            "appointments": appointments,
            "usage": usage,
            "loose_use": loose_use,
            "stock": stock,
            "on_order": on_order,
        }
    )
    stand = take_stock(tables, as_of)
    shelf, horizon = stand.shelf, stand.forecast.horizon
    usable = stand.usable(np.full(len(stand.items), PACE_DAYS))
    cover = stand.pace.cover(usable)
    expiring = np.bincount(shelf.lots.item, weights=shelf.outdates, minlength=len(stand.items))
    days = pd.Series(cover, dtype="Int64").where(pd.Series(cover < horizon))
    use_by = [
        None if day == NEVER else as_of + timedelta(days=int(day)) for day in shelf.first_use_by
    ]
    return pd.DataFrame(
        {
            "item": stand.items["item"],
            "name": stand.items["name"],
            "unit": stand.items["unit"],
            "on_hand": shelf.on_hand,
            "past_use_by": shelf.past,
            "on_order": shelf.on_order,
            "will_expire": expiring,
            "daily_use": stand.pace.daily,
            "days_of_cover": days,
            "runs_out_on": [
                None if pd.isna(day) else as_of + timedelta(days=int(day)) for day in days
            ],
            "earliest_use_by": use_by,
        }
    )
