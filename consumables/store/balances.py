"""Balances are a proven copy of what the ledger adds up to, kept for speed."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, Table, bindparam, delete, or_, select
from sqlalchemy.dialects.sqlite import Insert, insert

from consumables.ledger.fold import Balance, Key
from consumables.ledger.marks import FlagMark, JarMark, LoosenedMark, TightenedMark, VisitMark
from consumables.ledger.orders import OrderBalance
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance
from consumables.store.codec import from_text, to_text
from consumables.store.tables import LotRow, MarkRow, PieceRow, VisitRow, table_of
from consumables.words import Outcome, PieceState, Route

LOT, PIECE = table_of(LotRow), table_of(PieceRow)
VISIT, MARK = table_of(VisitRow), table_of(MarkRow)
_MOST_NAMES = 500  # SQLite limits the variables of one statement
_MARKS: dict[str, type[Any]] = {
    "order": OrderBalance,
    "jar": JarMark,
    "flag": FlagMark,
    "tight": TightenedMark,
    "loose": LoosenedMark,
}
_HOME: dict[str, tuple[Table, str]] = {
    "lot": (LOT, "lot_id"),
    "piece": (PIECE, "piece_id"),
    "visit": (VISIT, "visit_id"),
}


def load(connection: Connection, shop: str, keys: Iterable[Key]) -> dict[Key, Balance]:
    """The stored balances of these keys; a key without one is left out."""
    found: dict[Key, Balance] = {}
    for sort, ids in _by_sort(keys).items():
        _, name = _HOME.get(sort, (MARK, "id"))
        for start in range(0, len(ids), _MOST_NAMES):
            told = {"shop": shop, "sort": sort, "ids": ids[start : start + _MOST_NAMES]}
            for row in connection.execute(_loading(sort), told).mappings():
                found[Key(sort, row[name])] = _value(sort, row)
    return found


# Building a statement costs as much as running it, so each is built once, when first needed.


@cache
def _loading(sort: str) -> Select[Any]:
    table, name = _HOME.get(sort, (MARK, "id"))
    query = select(table).where(table.c.shop_id == bindparam("shop"))
    if table is MARK:
        query = query.where(MARK.c.sort == bindparam("sort"))
    return query.where(table.c[name].in_(bindparam("ids", expanding=True)))


@cache
def _saving(sort: str) -> Insert:
    table, _ = _HOME.get(sort, (MARK, ""))
    statement = insert(table)
    fresh = {c.name: statement.excluded[c.name] for c in table.c if not c.primary_key}
    names = [c.name for c in table.primary_key]
    return statement.on_conflict_do_update(names, set_=fresh)


@cache
def _of_items(sort: str, all_items: bool) -> Select[Any]:
    table, name = _HOME[sort]
    query = select(table).where(table.c.shop_id == bindparam("shop")).order_by(table.c[name])
    if table is LOT:
        query = query.where(or_(LOT.c.on_hand > 0, LOT.c.doubted > 0))
    if all_items:
        return query
    return query.where(table.c.item_id.in_(bindparam("items", expanding=True)))


def load_all(connection: Connection, shop: str) -> dict[Key, Balance]:
    """Every stored balance of a shop."""
    found: dict[Key, Balance] = {}
    for sort, (table, name) in _HOME.items():
        for row in connection.execute(select(table).where(table.c.shop_id == shop)).mappings():
            found[Key(sort, row[name])] = _value(sort, row)
    for row in connection.execute(select(MARK).where(MARK.c.shop_id == shop)).mappings():
        found[Key(row["sort"], row["id"])] = _value(row["sort"], row)
    return found


def save(connection: Connection, shop: str, balances: Mapping[Key, Balance | None]) -> None:
    """Write balances; `None` removes one (its entries were all undone)."""
    rows: dict[str, list[dict[str, Any]]] = {}
    for key, balance in balances.items():
        if balance is None:
            _remove(connection, shop, key)
        else:
            rows.setdefault(key.sort, []).append(_row(shop, key, balance))
    for sort, values in rows.items():
        connection.execute(_saving(sort), values)


def lots_of(connection: Connection, shop: str, item_ids: Iterable[str] | None) -> list[LotBalance]:
    """Lots with something left in them, of these items or of all."""
    return [_lot(row) for row in _rows_of(connection, shop, "lot", item_ids)]


def last_lot(connection: Connection, shop: str, item_id: str) -> list[LotBalance]:
    """The lot of an item that came last, even when it is used up; empty if there was none."""
    own = select(LOT).where(LOT.c.shop_id == shop, LOT.c.item_id == item_id)
    newest = own.order_by(LOT.c.use_by.desc(), LOT.c.lot_id.desc()).limit(1)
    return [_lot(row) for row in connection.execute(newest).mappings()]


def pieces_of(
    connection: Connection, shop: str, item_ids: Iterable[str] | None
) -> list[PieceBalance]:
    """Pieces of these items or of all, retired ones too."""
    return [_piece(row) for row in _rows_of(connection, shop, "piece", item_ids)]


def _rows_of(
    connection: Connection, shop: str, sort: str, item_ids: Iterable[str] | None
) -> Iterable[RowMapping]:
    told: dict[str, Any] = {"shop": shop}
    if item_ids is not None:
        told["items"] = list(item_ids)
    return connection.execute(_of_items(sort, item_ids is None), told).mappings()


def marks_of(connection: Connection, shop: str, sort: str, only_open: bool = True) -> list[Any]:
    """Orders, jars, flags or tightened items; by default only those still open."""
    query = select(MARK.c.body).where(MARK.c.shop_id == shop, MARK.c.sort == sort)
    if only_open:
        query = query.where(MARK.c.open)
    bodies = connection.execute(query.order_by(MARK.c.id)).scalars()
    return [from_text(_MARKS[sort], body) for body in bodies]


def _by_sort(keys: Iterable[Key]) -> dict[str, list[str]]:
    sorts: dict[str, list[str]] = {}
    for key in keys:
        sorts.setdefault(key.sort, []).append(key.id)
    return sorts


def _remove(connection: Connection, shop: str, key: Key) -> None:
    table, name = _HOME.get(key.sort, (MARK, "id"))
    statement = delete(table).where(table.c.shop_id == shop, table.c[name] == key.id)
    if table is MARK:
        statement = statement.where(MARK.c.sort == key.sort)
    connection.execute(statement)


def _value(sort: str, row: RowMapping) -> Balance:
    match sort:
        case "lot":
            return _lot(row)
        case "piece":
            return _piece(row)
        case "visit":
            return VisitMark(
                row["visit_id"],
                Outcome(row["outcome"]),
                row["closed_at"],
                row["contaminated"],
                row["job_key"],
            )
    mark: Balance = from_text(_MARKS[sort], row["body"])
    return mark


def _lot(row: RowMapping) -> LotBalance:
    return LotBalance(**{name: row[name] for name in LotBalance.__dataclass_fields__})


def _piece(row: RowMapping) -> PieceBalance:
    values = {name: row[name] for name in PieceBalance.__dataclass_fields__}
    values["state"] = PieceState(values["state"])
    values["route"] = Route(values["route"]) if values["route"] else None
    return PieceBalance(**values)


def _row(shop: str, key: Key, balance: Balance) -> dict[str, Any]:
    if key.sort in _HOME:
        names = balance.__dataclass_fields__
        return {"shop_id": shop, **{name: getattr(balance, name) for name in names}}
    return {
        "shop_id": shop,
        "sort": key.sort,
        "id": key.id,
        "open": is_open(balance),
        "body": to_text(balance),
    }


def is_open(balance: Balance) -> bool:
    """Does this mark still ask for attention?"""
    match balance:
        case FlagMark():
            return not balance.settled
        case JarMark():
            return not balance.discarded
        case TightenedMark() | LoosenedMark():
            return not balance.ended
        case OrderBalance():
            return balance.state in ("placed", "part delivered")
        case _:
            return True
