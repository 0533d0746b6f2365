"""What follows blood, broken skin or an unhealthy nail: every book yields to it."""

from dataclasses import dataclass

from consumables.items.general_order import step
from consumables.items.item import Item
from consumables.items.rulebook import Citation
from consumables.items.verdict import Verdict
from consumables.words import Category


@dataclass(frozen=True)
class Aftermath:
    """What must happen to a contaminated item now; `sentence` says it in words."""

    discard_now: bool
    surface_discard: bool
    blood_level_cycle: bool
    sentence: str
    cites: tuple[Citation, ...] = ()


def classify_contaminated(verdict: Verdict, item: Item) -> Aftermath:
    """What follows contamination: porous out at once, cores and tools to the blood-level cycle.

    Laundered cotton is porous too and is discarded (OAC 4713-15-03), whatever a lenient book says.
    """
    if verdict.category is Category.REPLACEABLE_SURFACE:
        return _what_follows(surface=True, cycle=True, sentence=_STRIP.format(item.name))
    if verdict.category is Category.SINGLE_USE or verdict.porous:
        return _what_follows(discard=True, sentence=_DISCARD.format(item.name))
    return _what_follows(cycle=True, sentence=_CYCLE.format(item.name))


_DISCARD = "{}: discard it at once, bagged; it may not be used again, not even on this client."
_STRIP = "{}: discard the surface at once, bagged; the core goes to the blood-level cycle."
_CYCLE = "{}: out of use at once and to the blood-level cycle."


def _what_follows(
    *, discard: bool = False, surface: bool = False, cycle: bool = False, sentence: str
) -> Aftermath:
    why = step("contaminated")
    return Aftermath(discard, surface, cycle, f"{sentence} {why.because}", why.cites)
