"""What would change a verdict: the same question asked of the item, altered in one respect.

Nothing here is a fixed answer: each condition below alters the facts, and `classify` is asked
again under the same book.
"""

from collections.abc import Iterator
from dataclasses import replace

from consumables.items.classify import classify
from consumables.items.item import Item, Part
from consumables.items.made_of import SeenItem, SeenPart
from consumables.items.rulebook import RuleBook
from consumables.items.trade_words import in_group
from consumables.items.verdict import Change, Verdict
from consumables.words import Category, Route

_METAL, _GLASS = Part("body", "stainless steel"), Part("body", "glass")
_GRIT = Part("surface", "abrasive paper", removable=True)
_HANDLE = Part("handle", "wood", touches_client=False)
_HELD = ("e-file", "lamp", "warmer", "table top", "armrest", "basin")


def what_would_change(item: Item, book: RuleBook, verdict: Verdict) -> tuple[Change, ...]:
    """Every alteration of the item that gives another category or route under the same book.

    Each is found by asking `classify` about an altered item; where a condition names two
    materials, it stands only if both give the same answer.
    """
    if item.sharp or item.dispensed:
        return ()
    found: dict[str, Change] = {}
    for condition, altered in _alterations(item):
        answers = {_answer(one, book) for one in altered}
        answer = answers.pop()
        if answer and not answers and answer != _said(verdict):
            found.setdefault(condition, Change(condition, *answer))
    return tuple(found.values())


def _answer(item: Item, book: RuleBook) -> tuple[Category, Route] | None:
    """Category and route of an altered item, or None when something would still be asked."""
    verdict = classify(item, book)
    return None if verdict.questions else _said(verdict)


def _said(verdict: Verdict) -> tuple[Category, Route]:
    return (verdict.category, verdict.route)


def _alterations(item: Item) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """Each condition in words, with the items it would make of this one."""
    if item.do_not_reuse:
        yield "if it were not made for one use", (replace(item, do_not_reuse=False),)
        return
    seen = SeenItem(item)
    yield from _of_immersion(item)
    yield from _of_answers(item, seen)
    yield from _of_surfaces(item, seen)
    yield from _of_single_parts(item, seen)
    yield from _of_the_whole(item, seen)


def _of_immersion(item: Item) -> Iterator[tuple[str, tuple[Item, ...]]]:
    if item.immersible is not True and not item.electric:
        yield "if it may lie in solution", (replace(item, immersible=True),)
    if item.immersible is not False:
        yield "if it may not lie in solution", (replace(item, immersible=False),)


def _of_answers(item: Item, seen: SeenItem) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """What an answer to an open question about pores would give."""
    asked = [part for part in seen.parts if part.porous is None and part.read.text]
    if not asked:
        return
    names = " and ".join(part.part.name for part in asked)
    told = {id(part.part): replace(part.part, porous=False) for part in asked}
    tight = replace(item, parts=tuple(told.get(id(part), part) for part in item.parts))
    yield f"if no liquid gets into the {names}", (tight,)
    if item.immersible is None:
        soaked = replace(tight, immersible=True)
        yield f"if no liquid gets into the {names} and it may lie in solution", (soaked,)


def _of_surfaces(item: Item, seen: SeenItem) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """What a surface that comes off would give, on its own core or on a hard one."""
    porous = [part.part for part in seen.parts if part.porous or _unsaid_surface(part)]
    hard = [part.part for part in seen.parts if part.porous is False]
    if seen.two_part:
        fixed = tuple(replace(part, removable=False) for part in item.parts)
        yield "if the surface did not come off", (replace(item, parts=fixed),)
        return
    if porous and hard and any(part.touches_client for part in porous):
        loose = tuple(
            replace(p, removable=True, porous=True) if p in porous else p for p in item.parts
        )
        names = " and ".join(part.name for part in porous)
        yield f"if the {names} came off the {hard[0].name}", (replace(item, parts=loose),)
    elif not hard and in_group(seen.kind, "abrasive"):
        cores = tuple(replace(one, name="core") for one in (_METAL, _GLASS))
        made = tuple(replace(item, parts=(c, _GRIT), immersible=_soaks(item)) for c in cores)
        yield "if its grit came off a core of metal or glass", made


def _unsaid_surface(part: SeenPart) -> bool:
    """A surface nobody has described: its grit is taken as porous, as grit mostly is."""
    return part.porous is None and "surface" in part.part.name


def _of_single_parts(item: Item, seen: SeenItem) -> Iterator[tuple[str, tuple[Item, ...]]]:
    if len(item.parts) < 2:
        return
    for at, part in enumerate(seen.parts):
        if part.porous is not False and not part.replaced and "surface" not in part.part.name:
            hard = replace(_METAL, name=part.part.name, touches_client=part.part.touches_client)
            swapped = (*item.parts[:at], hard, *item.parts[at + 1 :])
            yield f"if the {part.part.name} were metal", (replace(item, parts=swapped),)


def _of_the_whole(item: Item, seen: SeenItem) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """What it would be of metal or glass, and what one porous part would do to it."""
    if seen.porous is not False and not item.launderable:
        made = tuple(replace(item, parts=(m,), immersible=_soaks(item)) for m in (_METAL, _GLASS))
        yield "if it were wholly metal or glass", made
    elif not item.launderable and seen.kind not in _HELD:
        yield "if it had a wooden handle", (replace(item, parts=(*item.parts, _HANDLE)),)


def _soaks(item: Item) -> bool:
    """A thing made of metal or glass may lie in solution, unless it runs on current."""
    return not item.electric
