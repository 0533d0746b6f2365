"""A seal over the ledger: change one letter of one entry and every later seal comes out another.

The digest of entry n is SHA-256 (FIPS 180-4) over the digest of the entry before it and the bytes
of entry n as they are stored; docs/record.md says how anybody can work it out again.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, LargeBinary, cast, select

from consumables.store.ledger_store import ENTRY

SEED = b"consumables ledger digest 1"
# A closed list: a column added in a later year must not change what was printed in an earlier one.
COLUMNS = (
    *("entry_id", "at", "who", "job_key", "kind", "item_id", "lot_id", "piece_id"),
    *("visit_id", "service_id", "order_id", "corrects", "quantity", "body"),
)


@dataclass(frozen=True)
class Digest:
    """The seal over all entries of a shop up to and with this one."""

    entry_id: int  # 0: nothing is written yet
    digest: str  # 64 hexadecimal digits


def digests(connection: Connection, shop: str, up_to: int | None = None) -> Iterator[Digest]:
    """One digest for each entry, oldest first, after that of the empty ledger."""
    query = select(*(cast(ENTRY.c[name], LargeBinary) for name in COLUMNS))
    query = query.where(ENTRY.c.shop_id == shop).order_by(ENTRY.c.entry_id)
    if up_to is not None:
        query = query.where(ENTRY.c.entry_id <= up_to)
    sealed = hashlib.sha256(SEED).digest()
    yield Digest(0, sealed.hex())
    # Raw bytes, not values: a letter that no longer reads as a date must show too, not stop us.
    for row in connection.execute(query):
        sealed = hashlib.sha256(sealed + as_bytes(row)).digest()
        yield Digest(int(row[0]), sealed.hex())


def as_bytes(cells: Sequence[bytes | None]) -> bytes:
    """Cells one after another, each behind its length, so that no two rows look the same."""
    return b"".join(b"-;" if cell is None else b"%d:%b;" % (len(cell), cell) for cell in cells)
