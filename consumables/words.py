"""The words the whole desk shares, so that one thing has one name everywhere."""

from enum import StrEnum


class Category(StrEnum):
    """What may happen to an item after a client: the only three answers there are."""

    DISINFECTABLE = "disinfectable"
    SINGLE_USE = "single-use"
    REPLACEABLE_SURFACE = "replaceable-surface"


class Route(StrEnum):
    """Where an item goes when the service ends."""

    IMMERSE = "immerse"
    WIPE = "wipe"
    SPRAY = "spray"
    LAUNDER = "launder"
    STERILISE = "sterilise"
    STORE_CLEAN = "store-clean"
    STRIP = "strip"  # the surface goes in the bin, the core on its own route
    BIN = "bin"
    SHARPS = "sharps"
    DISPENSE = "dispense"  # poured, scooped or left on the client: never goes back


class PieceState(StrEnum):
    """Where a tagged, kept thing stands between two clients."""

    READY = "ready"
    SOILED = "soiled"
    CLEANED = "cleaned"
    IN_TREATMENT = "in-treatment"
    RETIRED = "retired"


class Outcome(StrEnum):
    """How a visit ended."""

    SERVED = "served"
    NO_SHOW = "no-show"


class Unit(StrEnum):
    """What an item is counted in; every quantity in the store is a whole number of these."""

    EACH = "each"
    MILLILITRE = "ml"
    GRAM = "g"


class Grading(StrEnum):
    """The scale an abrasive grade is stated on; grades of two scales are never compared."""

    P = "P"
    CAMI = "CAMI"
    UNSTATED = "unstated"


class Confidence(StrEnum):
    """How a citation is known."""

    FOUND = "found"
    DERIVED = "derived"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"


def counted(number: int, one: str, several: str = "") -> str:
    """A number with its word: 1 piece, 2 pieces."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def amount(number: int, unit: str) -> str:
    """A quantity in an item's unit; pieces go without saying."""
    return str(number) if unit == Unit.EACH else f"{number} {unit}"
