"""An item is what it is made of and how it is built, never just what it is called."""

from dataclasses import dataclass

from consumables.words import Grading, Unit


@dataclass(frozen=True)
class Part:
    """One material that an item is built of; `porous=None` means nobody has said yet."""

    name: str  # body, surface, liner, core, handle ...
    material: str  # as the maker or the technician words it
    porous: bool | None = None
    removable: bool = False  # comes off in one piece and is replaced
    touches_client: bool = True
    supplied_as: str = ""  # item_id of the refill that this part is bought as


@dataclass(frozen=True)
class Item:
    """A catalogue entry described by facts; `None` always means "not known yet"."""

    item_id: str
    name: str
    kind: str = ""  # trade noun: nail file, buffer, wood stick, nipper, bit ...
    parts: tuple[Part, ...] = ()
    immersible: bool | None = None  # may the item (for two-part items: the core) lie in solution?
    dispensed: bool = False  # poured, scooped, squeezed or left on the client
    launderable: bool = False  # woven thing made to be washed hot
    electric: bool = False
    sharp: bool = False  # a blade or needle for the sharps box; nippers and scissors are not
    do_not_reuse: bool = False  # carries the do-not-re-use mark (ISO 15223-1, 5.4.2)
    label_says_washable: bool = False  # a stamp; by itself it changes nothing for porous parts
    grits: tuple[int, ...] = ()  # the faces of one item, coarse face first as printed
    grading: Grading = Grading.UNSTATED
    unit: Unit = Unit.EACH
    dose: int = 1  # smallest amount that is ever drawn, in `unit`
    shelf_life_days: int | None = None
    after_opening_days: int | None = None  # period after opening
    contact_minutes: int | None = None  # wet time on a disinfectant's own label
    max_uses: int | None = None  # only where the maker or the shop sets one
    keep_at_least: int = 0  # the shop's own floor, in `unit`
