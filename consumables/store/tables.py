"""The shop's cupboard of tables: the ledger, its balances, the catalogue and the appointment book.

Rows are not domain values; they are written with Core statements and read back into values.
"""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, Column, ForeignKeyConstraint, Index, Table, Text
from sqlalchemy.types import TypeDecorator
from sqlmodel import Field, SQLModel

SCHEMA_VERSION = 1


def table_of(row: type[SQLModel]) -> Table:
    """The Core table behind a row class, for the statements that are written in bulk."""
    return SQLModel.metadata.tables[str(row.__tablename__)]


class Money(TypeDecorator[Decimal]):
    """Money as whole ten-thousandths: SQLite would store a decimal as a float."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Any) -> int | None:
        """Decimal to ten-thousandths; a float is a programming mistake."""
        assert value is None or isinstance(value, Decimal), "money is Decimal"
        return None if value is None else int((value * 10_000).to_integral_value())

    def process_result_value(self, value: Any, dialect: Any) -> Decimal | None:
        """Ten-thousandths back to Decimal."""
        return None if value is None else (Decimal(value) / 10_000).normalize() + Decimal(0)


class ShopRow(SQLModel, table=True):
    """A shop and what it has decided for itself (settings as JSON)."""

    __tablename__ = "shop"
    shop_id: str = Field(primary_key=True)
    settings: str = Field(sa_column=Column(Text, nullable=False))
    schema_version: int
    revision: int = 0  # one more whenever settings or catalogue changed


class EntryRow(SQLModel, table=True):
    """One ledger entry; the columns are for finding, `body` is the whole event."""

    __tablename__ = "entry"
    __table_args__ = (
        Index("entry_by_kind", "shop_id", "kind", "at"),
        Index("entry_by_lot", "shop_id", "lot_id"),
        Index("entry_by_piece", "shop_id", "piece_id"),
        Index("entry_by_job", "shop_id", "job_key"),
        Index("entry_by_visit", "shop_id", "visit_id"),
        ForeignKeyConstraint(["shop_id"], ["shop.shop_id"]),
    )
    entry_id: int = Field(primary_key=True)
    shop_id: str
    at: datetime
    who: str
    job_key: str
    kind: str
    item_id: str | None = None
    lot_id: str | None = None
    piece_id: str | None = None
    visit_id: str | None = None
    service_id: str | None = None
    order_id: str | None = None
    corrects: int | None = None
    quantity: int | None = None
    body: str = Field(sa_column=Column(Text, nullable=False))


class JobRow(SQLModel, table=True):
    """One finished job; its key makes a second sending count once."""

    __tablename__ = "job"
    __table_args__ = (Index("job_by_turn", "shop_id", "first_entry"),)
    shop_id: str = Field(primary_key=True)
    job_key: str = Field(primary_key=True)
    at: datetime
    who: str
    verb: str
    sentence: str
    undoes: str | None = None
    first_entry: int  # the number its first entry has; tells which of two jobs came later


class LotRow(SQLModel, table=True):
    """Balance of a lot; the database itself refuses less than nothing."""

    __tablename__ = "lot"
    __table_args__ = (
        CheckConstraint("on_hand >= 0", name="never_below_zero"),
        Index("lot_by_item", "shop_id", "item_id"),
    )
    shop_id: str = Field(primary_key=True)
    lot_id: str = Field(primary_key=True)
    item_id: str
    received: int
    on_hand: int
    use_by: date | None = None
    opened_on: date | None = None
    supplier_lot: str = ""
    unit_cost: Decimal = Field(sa_column=Column(Money, nullable=False))
    doubted: int = 0


class PieceRow(SQLModel, table=True):
    """Balance of a tagged piece."""

    __tablename__ = "piece"
    __table_args__ = (
        CheckConstraint("uses >= 0", name="uses_are_counted"),
        Index("piece_by_item", "shop_id", "item_id"),
    )
    shop_id: str = Field(primary_key=True)
    piece_id: str = Field(primary_key=True)
    item_id: str
    state: str
    uses: int
    client: str = ""
    blood_level: bool = False
    route: str | None = None
    ready_at: datetime | None = None
    jar_id: str = ""
    load_id: str = ""
    keep_until: date | None = None


class VisitRow(SQLModel, table=True):
    """A closed visit: its primary key is what makes closing happen once."""

    __tablename__ = "closed_visit"
    shop_id: str = Field(primary_key=True)
    visit_id: str = Field(primary_key=True)
    outcome: str
    closed_at: datetime
    contaminated: bool
    job_key: str


class MarkRow(SQLModel, table=True):
    """Orders, jars, flags and tightened items: small balances kept whole as JSON."""

    __tablename__ = "mark"
    shop_id: str = Field(primary_key=True)
    sort: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    open: bool
    body: str = Field(sa_column=Column(Text, nullable=False))


class CatalogueRow(SQLModel, table=True):
    """One catalogue value (item, supplier, offer, service, set-up, word) kept whole as JSON."""

    __tablename__ = "catalogue"
    shop_id: str = Field(primary_key=True)
    sort: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    place: int  # its place in the file it came from
    body: str = Field(sa_column=Column(Text, nullable=False))


class AppointmentRow(SQLModel, table=True):
    """One promised visit."""

    __tablename__ = "appointment"
    __table_args__ = (Index("appointment_by_start", "shop_id", "starts_at"),)
    shop_id: str = Field(primary_key=True)
    visit_id: str = Field(primary_key=True)
    starts_at: datetime
    ends_at: datetime
    service_ids: str  # joined by ";"
    client: str = ""
    technician: str = ""
    cancelled: bool = False
    booked_on: date | None = None
    sequence: int = 0
    source: str = ""
