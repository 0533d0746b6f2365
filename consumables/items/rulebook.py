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
    checked_on: date | None = None  # when it was looked at; in a book, the book's day if not said


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
    kit_container: str = ""  # how a client's kit must be kept and named
    kit_items: tuple[str, ...] = ()  # nouns of what a kit may hold; empty: as rules say
    kit_change: str = ""  # when what lies in a kit is renewed
    clients_own: str = ""  # what a client may bring along, and what is done with it first
    uv_cabinet: str = ""
    alcohol_accepted: bool | None = None
    storage_labels: tuple[str, ...] = ()
    container_labels: tuple[tuple[str, str], ...] = ()  # (container, words it must carry)
    clean_store: str = ""  # where disinfected tools wait
    kill_claims: tuple[str, ...] = ()
    blood_waste: str = ""
    foot_basin_log: bool = False  # a record of each cleaning of a foot basin is wanted
    foot_basin_minutes: int | None = None  # circulating or wet, after each client
    steriliser_log: bool = False
    spore_test_days: int | None = None  # at most so many days between two spore tests
    pouch_days: int | None = None  # a pouch is sterile for so long; None: until torn, wet, opened
    retention_days: int | None = None
    retention_of: str = ""  # which records the text speaks of
    cites: tuple[Citation, ...] = ()  # where these parameters stand


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

    @property
    def said_as(self) -> str:
        """The title, with a word on it where not all of the text was seen."""
        whole = not self.partial or "partial" in self.title.lower()
        return self.title if whole else f"{self.title} (partial)"
