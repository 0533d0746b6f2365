"""What can happen at the sink: washed, put in a bath, sterilised, looked at, taken out again.

`consumables.ledger.events` has them in its union; nothing written here is ever changed.
"""

from dataclasses import dataclass
from datetime import date, datetime

from consumables.words import Route


@dataclass(frozen=True)
class Soiled:
    """A piece went to the wash; `blood_level` asks for the blood-level cycle."""

    item_id: str
    piece_id: str
    visit_id: str = ""
    blood_level: bool = False


@dataclass(frozen=True)
class Cleaned:
    """A piece was washed, rinsed and dried; it is not disinfected yet."""

    item_id: str
    piece_id: str


@dataclass(frozen=True)
class UltrasonicCleaned:
    """A cleaned piece ran in the ultrasonic bath; that cleans deeper and disinfects nothing."""

    item_id: str
    piece_id: str
    minutes: int
    jar_id: str = ""


@dataclass(frozen=True)
class TreatmentStarted:
    """A piece went into (or was wiped with) disinfectant, or into the steriliser; not to be
    touched until `ready_at`."""

    item_id: str
    piece_id: str
    route: Route
    minutes: int
    ready_at: datetime
    blood_level: bool = False
    jar_id: str = ""
    load_id: str = ""


@dataclass(frozen=True)
class ClockRestarted:
    """Another piece was added to the bath this one lies in, so its clock runs anew."""

    item_id: str
    piece_id: str
    jar_id: str
    ready_at: datetime
    added: str = ""  # the piece that was added


@dataclass(frozen=True)
class Treated:
    """A piece stayed wet for its whole contact time and is ready for the next client; `how` says
    how it came out (lifted, rinsed and dried; dried where it lay; out of the steriliser)."""

    item_id: str
    piece_id: str
    how: str = ""


@dataclass(frozen=True)
class Pouched:
    """A sterilised piece was closed in its pouch; `None`: sterile until torn, wet or opened."""

    item_id: str
    piece_id: str
    keep_until: date | None = None


@dataclass(frozen=True)
class SentBack:
    """A piece starts the whole wash anew: dropped, pouch torn or past its day, a failed load."""

    item_id: str
    piece_id: str
    because: str
    blood_level: bool = False


@dataclass(frozen=True)
class Inspected:
    """Somebody looked a piece over; `found` in her words, empty when there was nothing."""

    item_id: str
    piece_id: str
    found: str = ""


@dataclass(frozen=True)
class PieceRetired:
    """A piece is worn out, broken, or must never be used again."""

    item_id: str
    piece_id: str
    because: str


@dataclass(frozen=True)
class SolutionMixed:
    """A jar was mixed and dated."""

    item_id: str  # the concentrate
    jar_id: str
    parts_water: int | float  # parts of water to one part of product
    contact_minutes: int
    change_by: datetime  # throw out at the latest; sooner when cloudy
    total_ml: int = 0  # 0: nobody said
    label: str = ""  # the label's own words, where the strength was told by them
    purpose: str = "disinfect"  # disinfect | ultrasonic


@dataclass(frozen=True)
class SolutionDiscarded:
    """A jar was emptied."""

    item_id: str
    jar_id: str
    because: str


@dataclass(frozen=True)
class SteriliserLoaded:
    """The steriliser was started with a load; `scale` says how the temperature was read (C, F)."""

    load_id: str
    method: str  # steam-gravity | steam-prevacuum | dry-heat
    temperature: int
    scale: str
    minutes: int  # at that temperature


@dataclass(frozen=True)
class LoadChecked:
    """A load came out, and this is what its chemical indicator showed."""

    load_id: str
    indicator: str  # changed | not-changed


@dataclass(frozen=True)
class SporeTestTaken:
    """A biological indicator ran in the steriliser and is waited for."""

    test_id: str


@dataclass(frozen=True)
class SporeTestRead:
    """What a spore test showed."""

    test_id: str
    result: str  # passed | failed


@dataclass(frozen=True)
class BasinCleaned:
    """A foot basin was drained, scrubbed and disinfected."""

    item_id: str  # the disinfectant
    basin: str
    moment: str  # after-client | end-of-day | weekly
    minutes: int


WashEvent = (
    Soiled
    | Cleaned
    | UltrasonicCleaned
    | TreatmentStarted
    | ClockRestarted
    | Treated
    | Pouched
    | SentBack
    | Inspected
    | PieceRetired
    | SolutionMixed
    | SolutionDiscarded
    | SteriliserLoaded
    | LoadChecked
    | SporeTestTaken
    | SporeTestRead
    | BasinCleaned
)
