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
    lot: str = ""
    code: str = ""


def tag_for(
    item: Item, verdict: Verdict, *, piece_id: str = "", lot: str = "", use_by: date | None = None
) -> Tag:
    """The tag of an item, or of one piece of it; single-use items carry the do-not-re-use mark."""
    single_use = verdict.category is Category.SINGLE_USE
    return Tag(
        name=item.name,
        category=_CATEGORY[verdict.category],
        after_the_client=_AFTERWARDS[verdict.route],
        warning=DO_NOT_REUSE if single_use else "",
        symbol=DO_NOT_REUSE_SYMBOL if single_use else "",
        use_by=use_by.isoformat() if use_by else "",
        lot=lot,
        code=tag_code(piece_id) if piece_id else "",
    )


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
