"""What stands on the tag of an item or a kept piece, as plain words for paper and screen."""

from dataclasses import dataclass
from datetime import date

from consumables.errors import Refused
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.words import Category, Route

PREFIX = "DESK:"
DO_NOT_REUSE = "DO NOT RE-USE"
DO_NOT_REUSE_SYMBOL = "ISO 15223-1, 5.4.2"


@dataclass(frozen=True)
class Tag:
    """The words of one tag; empty texts are left off. `symbol` names the drawn symbol's source."""

    name: str
    category: str
    after_the_client: str
    warning: str = ""
    symbol: str = ""
    use_by: str = ""  # ISO date
    lot: str = ""  # the shop's own name of it
    code: str = ""
    supplier_lot: str = ""  # the maker's or supplier's lot code, as printed on the pack


@dataclass(frozen=True)
class ContainerLabel:
    """What a container says on its outside; empty texts are left off."""

    container: str  # which container it is for, in the words of the book
    words: str  # what the book in force wants to read on it
    contents: str = ""
    dilution: str = ""
    mixed: str = ""
    change_by: str = ""


def tag_for(
    item: Item,
    verdict: Verdict,
    *,
    piece_id: str = "",
    lot: str = "",
    use_by: date | None = None,
    supplier_lot: str = "",
    client: str = "",
) -> Tag:
    """The tag of an item, or of one piece of it; single-use items carry the do-not-re-use mark.

    With `client` the piece belongs to that client's own kit, and the tag says whose it is.
    """
    # The bottle serves many; only what left it never goes back, so it carries no mark.
    dispensed = verdict.route is Route.DISPENSE
    once = verdict.category is Category.SINGLE_USE and not dispensed and not client
    category = _PORTION if dispensed else _CATEGORY[verdict.category]
    return Tag(
        name=item.name,
        category=_KIT.format(client) if client else category,
        after_the_client=_KIT_AFTERWARDS if client else _AFTERWARDS[verdict.route],
        warning=DO_NOT_REUSE if once else "",
        symbol=DO_NOT_REUSE_SYMBOL if once else "",
        use_by=use_by.isoformat() if use_by else "",
        lot=lot,
        code=tag_code(piece_id) if piece_id else "",
        supplier_lot=supplier_lot,
    )


def dilution_words(parts_water: float) -> str:
    """How strong a mixed jar is, as it stands on its label."""
    if not parts_water:
        return "undiluted"
    return f"1 part to {parts_water:g} {'part' if parts_water == 1 else 'parts'} of water"


def tag_code(piece_id: str) -> str:
    """The text of a piece's QR code: our own prefix and the piece."""
    if not piece_id or piece_id != piece_id.strip() or not piece_id.isprintable():
        raise Refused(f"'{piece_id}' cannot be a tag: a piece needs a plain printed name.")
    return PREFIX + piece_id


def piece_of(code: str) -> str:
    """The piece that a scanned tag names; refuses a code that is not one of our tags."""
    piece_id = code.strip().removeprefix(PREFIX)
    if not is_tag(code) or not piece_id:
        raise Refused(f"'{code}' is not a tag of this desk, which begins with {PREFIX}.")
    return piece_id


def is_tag(code: str) -> bool:
    """Whether a scanned text is one of this desk's own tags."""
    return code.strip().startswith(PREFIX)


_KIT = "Only for client {}"
_KIT_AFTERWARDS = "Clean, dry, back into its own named container"
_PORTION = "A portion for each client"
_CATEGORY = {
    Category.DISINFECTABLE: "Disinfect between clients",
    Category.SINGLE_USE: "One client only",
    Category.REPLACEABLE_SURFACE: "New surface for each client",
}

_AFTERWARDS = {
    Route.IMMERSE: "Wash, rinse, immerse in disinfectant",
    Route.WIPE: "Clean, then keep wet with disinfectant",
    Route.SPRAY: "Brush clean, then spray until wet",
    Route.LAUNDER: "To the laundry",
    Route.STERILISE: "Wash, disinfect, sterilise",
    Route.STORE_CLEAN: "Clean and store closed",
    Route.STRIP: "Surface in the bin, core to the wash",
    Route.BIN: "In the bin",
    Route.SHARPS: "In the sharps box",
    Route.DISPENSE: "Never back into its container",
}
