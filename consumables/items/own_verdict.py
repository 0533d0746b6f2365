"""A shop may be stricter than its book on its own word, and looser only on a citation it signs."""

from dataclasses import replace
from datetime import date

from consumables.errors import Refused
from consumables.items.item import Item
from consumables.items.rulebook import Citation
from consumables.items.verdict import Reason, Verdict
from consumables.words import Category, Confidence, Route

STRICTNESS = {Category.DISINFECTABLE: 0, Category.REPLACEABLE_SURFACE: 1, Category.SINGLE_USE: 2}
KEPT_ROUTES = (Route.IMMERSE, Route.WIPE, Route.SPRAY, Route.LAUNDER, Route.STERILISE)


def tightened(verdict: Verdict, because: str) -> Verdict:
    """Single-use by the shop's own decision, whatever its book says."""
    if verdict.category is Category.SINGLE_USE:
        return verdict
    reason = Reason("shop", f"This shop is stricter than its book: {because}")
    return replace(
        verdict,
        category=Category.SINGLE_USE,
        route=Route.BIN,
        core_route=None,
        reasons=(*verdict.reasons, reason),
    )


def loosened(
    verdict: Verdict, route: Route, because: str, citation: str, signed_by: str, signed_on: date
) -> Verdict:
    """Kept and treated on somebody's signature; the book's own answer stays among the reasons.

    After blood it counts as porous whatever it is made of: no citation keeps what met blood.
    """
    told = f"This shop is looser than its book: {because} (signed {signed_by}, {signed_on})"
    cite = Citation(citation, confidence=Confidence.FOUND)
    return replace(
        verdict,
        category=Category.DISINFECTABLE,
        route=route,
        core_route=None,
        porous=True,
        reasons=(*verdict.reasons, Reason("shop", told, cites=(cite,))),
    )


def looser(before: Verdict, after: Verdict) -> bool:
    """Does the second verdict allow more than the first, or ask again what was settled?

    An answered question may loosen, so nothing that is strict may become a question.
    """
    if before.questions:
        return False
    if after.questions and before.category is not Category.DISINFECTABLE:
        return True
    return STRICTNESS[after.category] < STRICTNESS[before.category]


def may_be_loosened(item: Item, verdict: Verdict) -> bool:
    """Does a signature still reach this item: no mark, no blade, still binned by its book?"""
    marked = item.do_not_reuse or item.sharp or item.dispensed
    return not marked and not verdict.questions and verdict.category is Category.SINGLE_USE


def unmade(before: Item, after: Item) -> str:
    """What a later sheet may not take back of an item, in words; empty where it takes nothing.

    A mark or a surface that is gone would loosen it; another unit would void every count.
    """
    gone = [
        words
        for words, was, now in (
            ("its do-not-re-use mark", before.do_not_reuse, after.do_not_reuse),
            ("that it is a blade", before.sharp, after.sharp),
            ("a surface's supplied_as", len(refills(before)), len(refills(after))),
        )
        if was > now
    ]
    gone += ["its unit"] if before.unit is not after.unit else []
    gone += ["whether it is dispensed"] if before.dispensed is not after.dispensed else []
    return " and ".join(gone)


def refills(item: Item) -> tuple[str, ...]:
    """The items that the removable surfaces of this one are bought as, each once a surface."""
    return tuple(part.supplied_as for part in item.parts if part.removable and part.supplied_as)


def refuse_loosening(item: Item, verdict: Verdict, route: Route, citation: str, who: str) -> None:
    """What no citation can loosen, and what a loosening must carry."""
    if item.do_not_reuse:
        raise Refused(f"{item.name} is marked do-not-re-use: no citation loosens that.")
    if item.sharp:
        raise Refused(f"{item.name} is a blade for the sharps box: no citation loosens that.")
    if item.dispensed:
        raise Refused(f"{item.name} is dispensed: what left its container never goes back.")
    if verdict.banned_here:
        raise Refused(f"{item.name} is banned by the book in force. {verdict.banned}")
    if verdict.questions:
        raise Refused(f"{item.name}: answer the open question first. {verdict.questions[0]}")
    if verdict.category is not Category.SINGLE_USE:
        raise Refused(f"{item.name} is {verdict.category} already; there is nothing to loosen.")
    if route not in KEPT_ROUTES:
        raise Refused(f"Say how it is treated: {', '.join(KEPT_ROUTES)}.")
    if not citation.strip() or not who.strip():
        raise Refused(
            "Loosening needs the place where it is allowed, and the initials of who signs."
        )
