"""What an item is made of, part by part, as far as anyone has said; what is missing is asked."""

from functools import cached_property

from consumables.items.item import Item, Part
from consumables.items.materials import UNKNOWN, Material, material
from consumables.items.trade_words import in_group, kind_of, known_kind


class SeenPart:
    """One part with its material families and porosity settled, or with the question left."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.read = material(part.material) if part.material.strip() else _NOTHING_SAID
        self.families = self.read.families
        self.porous = _porosity(part, self.read)
        self.question = "" if self.porous is not None else _question(part, self.read)

    @property
    def replaced(self) -> bool:
        """Whether this part comes off and a fresh one takes its place for each client."""
        bought_new = bool(self.part.supplied_as) or "liner" in self.part.name.lower()
        return self.part.removable and (self.porous is True or bought_new)


class SeenItem:
    """An item with its trade noun and its parts understood; nothing here is a verdict yet."""

    def __init__(self, item: Item) -> None:
        self.item = item
        self.kind = kind_of(item.kind) if item.kind.strip() else known_kind(item.name)
        self.parts = tuple(SeenPart(part) for part in item.parts)
        self.immersible = False if item.electric and item.immersible is None else item.immersible

    @cached_property
    def questions(self) -> tuple[str, ...]:
        """What must be answered about the materials before anything may be kept."""
        asked = tuple(part.question for part in self.parts if part.question)
        return asked if self.parts else ("What is it made of?",)

    @cached_property
    def made_for_one_use(self) -> bool:
        """Whether its noun names a thing made to be thrown away: glove, mask, liner ..."""
        return in_group(self.kind, "one_use")

    @cached_property
    def materials_known(self) -> bool:
        """Whether every part is of known material families."""
        return bool(self.parts) and all(UNKNOWN not in part.families for part in self.parts)

    @cached_property
    def porous(self) -> bool | None:
        """True: some part is porous; False: none is, and all are known; None: nobody knows."""
        answers = {part.porous for part in self.parts} or {None}
        if True in answers:
            return True
        return None if None in answers else False

    @cached_property
    def staying(self) -> tuple[SeenPart, ...]:
        """The parts that are not replaced."""
        return tuple(part for part in self.parts if not part.replaced)

    @cached_property
    def two_part(self) -> bool:
        """Whether a part is replaced and another one stays."""
        return 0 < len(self.staying) < len(self.parts)


_NOTHING_SAID = Material("", (UNKNOWN,), None, (), ())


def _porosity(part: Part, read: Material) -> bool | None:
    """What was stated, else what the material list says; two answers that fight are no answer."""
    if part.porous is True:
        return True
    if part.porous is None:
        return read.porous
    return False if read.text and read.porous is not True else None


def _question(part: Part, read: Material) -> str:
    if not read.text:
        return f"What is the {part.name} made of?"
    if part.porous is False:
        return (
            f"The {part.name} is called not porous, but {part.material} is listed as porous: "
            "which is right?"
        )
    if read.unread:
        odd = ", ".join(read.unread)
        return f"Can liquid get into the {part.name}? Its material has a word not listed: {odd}."
    return f"Can liquid get into the {part.name}? Of {part.material} there are both kinds."
