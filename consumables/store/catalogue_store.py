"""What the shop owns, buys and offers, kept as it was brought in."""

from collections.abc import Hashable, Iterable
from functools import cache
from typing import Any

from sqlalchemy import (
    BindParameter,
    CompoundSelect,
    Connection,
    Text,
    bindparam,
    cast,
    delete,
    insert,
    select,
    union_all,
    update,
)

from consumables.items.catalogue import (
    CalendarWord,
    Catalogue,
    Offer,
    Service,
    SetUpLine,
    ShopSettings,
    Supplier,
)
from consumables.items.item import Item
from consumables.store.codec import from_text, to_text
from consumables.store.tables import SCHEMA_VERSION, CatalogueRow, MarkRow, ShopRow, table_of

SHOP, CATALOGUE, MARK = table_of(ShopRow), table_of(CatalogueRow), table_of(MarkRow)
_KINDS: dict[str, type[Any]] = {
    "items": Item,
    "suppliers": Supplier,
    "offers": Offer,
    "services": Service,
    "set_ups": SetUpLine,
    "words": CalendarWord,
}
# What the ledger may speak of is never dropped, even when a later file leaves it out.
_KEPT = frozenset({"items", "suppliers", "services"})


def read_settings(connection: Connection, shop: str) -> ShopSettings | None:
    """The shop's settings, or None where the shop does not exist yet."""
    body = connection.execute(select(SHOP.c.settings).where(SHOP.c.shop_id == shop)).scalar()
    return from_text(ShopSettings, body) if body is not None else None


def write_settings(connection: Connection, shop: str, settings: ShopSettings) -> None:
    """Make the shop, or change what it has decided."""
    values = {"settings": to_text(settings), "schema_version": SCHEMA_VERSION}
    if not _changed(connection, shop, **values):
        connection.execute(insert(SHOP).values(shop_id=shop, revision=1, **values))


def _changed(connection: Connection, shop: str, **values: Any) -> int:
    """Count one change of the shop's book or catalogue, so that other desks look again."""
    values["revision"] = SHOP.c.revision + 1
    done = connection.execute(update(SHOP).where(SHOP.c.shop_id == shop).values(**values))
    return int(done.rowcount)


def read_catalogue(connection: Connection, shop: str) -> Catalogue:
    """The whole catalogue (opening stock is ledger, not catalogue)."""
    query = select(CATALOGUE.c.sort, CATALOGUE.c.body).where(CATALOGUE.c.shop_id == shop)
    values: dict[str, list[Any]] = {sort: [] for sort in _KINDS}
    for sort, body in connection.execute(query.order_by(CATALOGUE.c.place, CATALOGUE.c.id)):
        values[sort].append(from_text(_KINDS[sort], body))
    settings = read_settings(connection, shop) or ShopSettings()
    return Catalogue(settings, **{sort: tuple(found) for sort, found in values.items()})


def known_by(connection: Connection, shop: str) -> str:
    """A mark of settings, catalogue and the shop's own verdicts as they stand."""
    return "\n".join(sorted(map(str, connection.execute(_knowing(), {"shop": shop}).scalars())))


@cache
def _knowing() -> CompoundSelect[Any]:
    # Every job asks this, and building a statement costs as much as running it.
    shop: BindParameter[str] = bindparam("shop")
    revision = select(cast(SHOP.c.revision, Text)).where(SHOP.c.shop_id == shop)
    own = select(MARK.c.body).where(MARK.c.shop_id == shop, MARK.c.sort.in_(("tight", "loose")))
    return union_all(revision, own)


def write_catalogue(connection: Connection, shop: str, catalogue: Catalogue) -> dict[str, int]:
    """Replace the catalogue; returns how many values of each sort are new or changed."""
    changes: dict[str, int] = {}
    for sort in _KINDS:
        wanted = {
            _identity(value): (place, to_text(value))
            for place, value in enumerate(getattr(catalogue, sort))
        }
        changes[sort] = _write_sort(connection, shop, sort, wanted)
    if any(changes.values()):
        _changed(connection, shop)
    return changes


def _write_sort(
    connection: Connection, shop: str, sort: str, wanted: dict[str, tuple[int, str]]
) -> int:
    where = (CATALOGUE.c.shop_id == shop, CATALOGUE.c.sort == sort)
    rows = connection.execute(select(CATALOGUE.c.id, CATALOGUE.c.body).where(*where)).all()
    held = {row.id: row.body for row in rows}
    gone = [] if sort in _KEPT else [name for name in held if name not in wanted]
    changed = [name for name, (_, body) in wanted.items() if held.get(name) != body]
    _drop(connection, where, [*gone, *wanted])
    if wanted:
        rows_in = [
            {"shop_id": shop, "sort": sort, "id": name, "place": place, "body": body}
            for name, (place, body) in wanted.items()
        ]
        connection.execute(insert(CATALOGUE), rows_in)
    return len(changed) + len(gone)


def _drop(connection: Connection, where: Iterable[Any], names: list[str]) -> None:
    for start in range(0, len(names), 500):
        some = CATALOGUE.c.id.in_(names[start : start + 500])
        connection.execute(delete(CATALOGUE).where(*where, some))


def _identity(value: Hashable) -> str:
    match value:
        case Item():
            return value.item_id
        case Supplier():
            return value.supplier_id
        case Offer():
            return value.offer_id
        case Service():
            return value.service_id
        case SetUpLine():
            return f"{value.service_id}|{value.item_id}"
        case CalendarWord():
            return value.word.casefold()
    raise AssertionError(f"{value!r} is no catalogue value")
