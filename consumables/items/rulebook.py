"""A rule book is data: what one body says about items, with the place where it says so."""

from dataclasses import dataclass, field
from datetime import date

from consumables.words import Category, Confidence, Route


@dataclass(frozen=True)
class Citation:
    """Where a rule stands."""

    section: str
    edition: str = ""
    address: str = ""
    confidence: Confidence = Confidence.FOUND


@dataclass(frozen=True)
class When:
    """What an item must be for a rule to speak of it; every condition that is given must hold."""

    kinds: tuple[str, ...] = ()  # item.kind is one of these
    wholly: tuple[str, ...] = ()  # every part is of one of these material families
    not_wholly: tuple[str, ...] = ()  # at least one part is of another family, or of none known
    any_of: tuple[str, ...] = ()  # at least one part is of one of these families
    porous: bool | None = None  # True: some part is porous; False: none is, and all are known
    immersible: bool | None = None
    electric: bool | None = None


@dataclass(frozen=True)
class Rule:
    """One verdict of a book. `unsettled` means sources differ; the strict one stands meanwhile."""

    rule_id: str
    when: When
    category: Category
    route: Route
    because: str
    cites: tuple[Citation, ...]
    kit_allowed: bool = False  # may be kept for the same client where the book allows kits
    banned: bool = False  # may not be on the premises at all
    unsettled: bool = False
    against: tuple[Citation, ...] = ()  # the other side, when unsettled


@dataclass(frozen=True)
class Parameters:
    """What a book asks of the work itself; an empty text means the book seen does not say."""

    contact_minutes: int = 10  # where the label gives no time
    label_overrides_minutes: bool = True
    solution_change: tuple[str, ...] = ()  # daily, weekly, cloudy, label: whichever comes first
    same_client_kits: str = "no"  # no | by-agreement
    uv_cabinet: str = ""
    alcohol_accepted: bool | None = None
    storage_labels: tuple[str, ...] = ()
    kill_claims: tuple[str, ...] = ()
    blood_waste: str = ""
    retention_days: int | None = None


@dataclass(frozen=True)
class RuleBook:
    """One body's rules as seen on a day; `partial` says that not all of its text was seen."""

    name: str
    title: str
    place: str
    edition: str
    checked_on: date
    partial: bool
    note: str
    parameters: Parameters = field(default_factory=Parameters)
    rules: tuple[Rule, ...] = ()
