"""Who sells what in which packs, and how many days a delivery takes."""

from dataclasses import dataclass

import numpy as np

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.chances import Floats, Ints
from consumables.reorder.forecast import Forecast
from consumables.reorder.protection import Routes

USUAL_LEAD = {7: 1.0}  # where nobody offers an item and the shop has no supplier at all
NOBODY = ""  # supplier and offer id of an item that nobody offers


@dataclass(frozen=True)
class Market:
    """Routes (one per item and supplier) and offers, both sorted by item, supplier, offer.

    `supplier` names each route's supplier. `offer`, `offer_route` and `pack` (steps) have one
    entry per offer. An item that nobody offers has one route and one offer, both `NOBODY`.
    """

    routes: Routes
    supplier: tuple[str, ...]
    offer: tuple[str, ...]
    offer_route: Ints
    pack: Ints

    @property
    def offer_item(self) -> Ints:
        return self.routes.item[self.offer_route]

    def soonest(self) -> Ints:
        """Soonest that anybody delivers each item."""
        return np.minimum.reduceat(self.routes.first_day, self._begins())

    def latest(self) -> Ints:
        """Latest that anybody delivers each item."""
        return np.maximum.reduceat(self.routes.last_day, self._begins())

    def _begins(self) -> Ints:
        return np.unique(self.routes.item, return_index=True)[1]


def read_market(forecast: Forecast, offers: list[Offer], suppliers: list[Supplier]) -> Market:
    """Routes and offers of every item; one that nobody offers gets the slowest known lead time."""
    leads = {supplier.supplier_id: supplier.lead_days for supplier in suppliers}
    slowest = max(leads.values(), key=_mean_lead, default=USUAL_LEAD)
    sold: dict[str, list[tuple[str, str, int]]] = {}
    for offer in offers:
        key = (offer.supplier_id, offer.offer_id, offer.pack_size)
        sold.setdefault(offer.item_id, []).append(key)
    routes: list[tuple[int, str]] = []
    found: list[tuple[str, int, int]] = []
    for item, name in enumerate(forecast.items):
        for supplier, offer_id, size in sorted(sold.get(name, [(NOBODY, NOBODY, 1)])):
            if not routes or routes[-1] != (item, supplier):
                routes.append((item, supplier))
            steps = max(1, size // int(forecast.step[item]))
            found.append((offer_id, len(routes) - 1, steps))
    lead = _lead_table([leads.get(supplier, slowest) for _, supplier in routes])
    return Market(
        routes=Routes(np.array([item for item, _ in routes], dtype=np.int64), lead),
        supplier=tuple(supplier for _, supplier in routes),
        offer=tuple(offer for offer, _, _ in found),
        offer_route=np.array([route for _, route, _ in found], dtype=np.int64),
        pack=np.array([steps for _, _, steps in found], dtype=np.int64),
    )


def _lead_table(leads: list[dict[int, float]]) -> Floats:
    table = np.zeros((len(leads), 1 + max((max(lead) for lead in leads), default=0)))
    for row, lead in enumerate(leads):
        table[row, list(lead)] = list(lead.values())
    pmfs: Floats = table / table.sum(axis=1, keepdims=True)
    return pmfs


def _mean_lead(lead: dict[int, float]) -> float:
    return sum(day * chance for day, chance in lead.items())
