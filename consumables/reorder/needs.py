"""What each item needs now: its position, its level for every offer, and the most worth buying."""

import numpy as np
import pandas as pd

from consumables.items.catalogue import Offer
from consumables.reorder.chances import Floats, Ints
from consumables.reorder.forecast import Forecast
from consumables.reorder.item_levels import Levels
from consumables.reorder.market import NOBODY, Market
from consumables.reorder.purchases import Need
from consumables.reorder.shelf import Shelf
from consumables.reorder.shelf_life import most_worth_buying, opened_loss


def build_needs(
    forecast: Forecast,
    items: pd.DataFrame,
    offers: list[Offer],
    market: Market,
    levels: Levels,
    shelf: Shelf,
    usable: Ints,
    daily_use: Floats,
) -> list[Need]:
    """One Need per item, quantities in units; `usable` and `daily_use` are per item.

    The level of an offer is never under what the visits in the book need, nor under the shop's
    own floor `keep_at_least`.
    """
    step = forecast.step[market.offer_item]
    keep = items["keep_at_least"].to_numpy(dtype=np.int64)[market.offer_item]
    booked = levels.booked[market.offer_route]
    s = np.maximum(np.maximum(levels.level, booked) * step, keep)
    bridge = levels.bridge[market.offer_route] * step
    last = market.routes.last_day[market.offer_route]
    cap = _caps(forecast, items, offers, market, shelf, s)
    share = _usable_shares(forecast, items, market)
    position = usable + shelf.on_order
    begins = np.searchsorted(market.offer_item, np.arange(len(forecast.items) + 1))
    needs = []
    for item, name in enumerate(forecast.items):
        mine = range(begins[item], begins[item + 1])
        sold = [at for at in mine if market.offer[at] != NOBODY]
        needs.append(
            Need(
                item=name,
                position=int(position[item]),
                levels={market.offer[at]: int(s[at]) for at in sold},
                booked_level=int(max(booked[at] * step[at] for at in mine)),
                daily_use=float(daily_use[item]),
                cap=cap.get(item),
                bridge={market.offer[at]: int(bridge[at]) for at in sold},
                lead={market.offer[at]: int(last[at]) for at in sold},
                usable_share={market.offer[at]: share[at] for at in sold if at in share},
                level_unsold=0 if sold else int(s[begins[item]]),
            )
        )
    return needs


def _caps(
    forecast: Forecast,
    items: pd.DataFrame,
    offers: list[Offer],
    market: Market,
    shelf: Shelf,
    s: Ints,
) -> dict[int, int]:
    """Most units worth buying of the items with a shelf life, by `shelf_life`'s rule.

    Nothing is looked at beyond four times the level, two packs or a price break.
    """
    limited = np.flatnonzero(items["shelf_life_days"].notna().to_numpy())
    if not len(limited):
        return {}
    life = items["shelf_life_days"].to_numpy(dtype=np.float64, na_value=0)[limited]
    breaks = {offer.offer_id: offer.break_packs or 0 for offer in offers}
    packs = np.array([max(2, breaks.get(offer, 0)) for offer in market.offer])
    thinkable = np.maximum(4 * s // forecast.step[market.offer_item], packs * market.pack) + 1
    most = np.zeros(len(forecast.items), dtype=np.int64)
    np.maximum.at(most, market.offer_item, thinkable)
    best = most_worth_buying(
        forecast,
        shelf.lots,
        limited,
        life.astype(np.int64) + market.soonest()[limited],
        shelf.on_order[limited] // forecast.step[limited],
        most[limited],
    )
    units = best * forecast.step[limited]
    return {int(item): int(cap) for item, cap in zip(limited, units, strict=True)}


def _usable_shares(forecast: Forecast, items: pd.DataFrame, market: Market) -> dict[int, float]:
    """Part of an opened pack that is used within its period after opening, by offer row."""
    after = items["after_opening_days"].to_numpy(dtype=np.float64, na_value=np.nan)
    rows = np.flatnonzero(~np.isnan(after[market.offer_item]))
    if not len(rows):
        return {}
    item = market.offer_item[rows]
    start = market.routes.first_day[market.offer_route[rows]]
    loss = opened_loss(forecast, item, start, after[item].astype(np.int64), market.pack[rows])
    share = 1 - loss / market.pack[rows]
    return {int(row): float(part) for row, part in zip(rows, share, strict=True)}
