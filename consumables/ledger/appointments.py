"""An appointment is a visit that is promised; the calendar owns it, the shop only reads it."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Appointment:
    """One promised visit; `client` is a code or initials, never more than she needs."""

    visit_id: str  # stable identity: UID, and RECURRENCE-ID for one of a series
    starts_at: datetime  # aware
    ends_at: datetime  # aware
    service_ids: tuple[str, ...]
    client: str = ""
    technician: str = ""
    cancelled: bool = False
    booked_on: date | None = None
    sequence: int = 0
