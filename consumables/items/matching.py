"""Which rule of a book speaks of an item: all its conditions hold, and the most specific wins."""

from collections.abc import Iterable

from consumables.items.made_of import SeenItem
from consumables.items.materials import UNKNOWN
from consumables.items.rulebook import Rule, RuleBook, When
from consumables.items.trade_words import kind_of
from consumables.words import Category, Route

STRICTNESS = (Category.SINGLE_USE, Category.REPLACEABLE_SURFACE, Category.DISINFECTABLE)
_ROUTE_STRICTNESS = (
    Route.SHARPS,
    Route.BIN,
    Route.DISPENSE,
    Route.STRIP,
    Route.STERILISE,
    Route.IMMERSE,
    Route.SPRAY,
    Route.WIPE,
    Route.LAUNDER,
    Route.STORE_CLEAN,
)
_NEEDS_SOLUTION_OR_HEAT = (Route.IMMERSE, Route.STERILISE, Route.LAUNDER)


def deciding_rule(seen: SeenItem, book: RuleBook) -> Rule | None:
    """The most specific rule that speaks of the item and can be followed; ties: the strictest."""
    speaking = [r for r in book.rules if speaks_of(r.when, seen) and may_decide(r, seen)]
    return min(speaking, key=rank, default=None)


def rank(rule: Rule) -> tuple[bool, bool, int, int, int]:
    """Sort key, first is best: banned, names the thing, more conditions, stricter."""
    return (
        not rule.banned,
        not rule.when.kinds,
        -_conditions(rule.when),
        STRICTNESS.index(rule.category),
        _ROUTE_STRICTNESS.index(rule.route),
    )


def banning_rules(seen: SeenItem, book: RuleBook) -> tuple[Rule, ...]:
    """Every rule of the book that bans the item from the premises."""
    return tuple(r for r in book.rules if r.banned and speaks_of(r.when, seen))


def speaks_of(when: When, seen: SeenItem) -> bool:
    """Whether every condition that is given holds for the item."""
    return (
        (not when.kinds or seen.kind in map(kind_of, when.kinds))
        and (not when.wholly or _wholly(seen, when.wholly))
        and (not when.not_wholly or not _wholly(seen, when.not_wholly))
        and (not when.any_of or not _families(seen).isdisjoint(when.any_of))
        and (when.porous is None or when.porous is seen.porous)
        and (when.immersible is None or when.immersible is seen.immersible)
        and (when.electric is None or when.electric is seen.item.electric)
    )


def may_decide(rule: Rule, seen: SeenItem) -> bool:
    """Whether a rule can be followed; one that lets a thing live on needs all its facts known."""
    if rule.category is Category.SINGLE_USE:
        return True
    return _could_be_followed(rule, seen) and _facts_are_known(rule, seen)


def passed_over(seen: SeenItem, book: RuleBook) -> bool:
    """Whether an answer still missing keeps some rule of the book from deciding."""
    return any(
        speaks_of(r.when, seen) and _could_be_followed(r, seen) and not _facts_are_known(r, seen)
        for r in book.rules
        if r.category is not Category.SINGLE_USE
    )


def leans_on_unknowns(when: When, seen: SeenItem) -> bool:
    """Whether a rule holds only because a material is not known yet."""
    known = _families(seen) - {UNKNOWN}
    return bool(when.not_wholly) and not seen.materials_known and known <= set(when.not_wholly)


def _could_be_followed(rule: Rule, seen: SeenItem) -> bool:
    """Whether nothing that is known stands against a rule that lets a thing live on.

    A glove, mask or liner is kept only by a rule that names it, never by one about all materials.
    """
    if seen.made_for_one_use and not rule.when.kinds:
        return False
    if seen.two_part != (rule.category is Category.REPLACEABLE_SURFACE):
        return False
    if seen.two_part and any(part.porous for part in seen.staying):
        return False
    if seen.item.electric and rule.route in _NEEDS_SOLUTION_OR_HEAT:
        return seen.immersible is True
    return rule.route is not Route.IMMERSE or seen.immersible is not False


def _facts_are_known(rule: Rule, seen: SeenItem) -> bool:
    """A porous thing is immersed only when somebody has said that it may be."""
    may_soak = seen.immersible is True or seen.porous is False
    return not seen.questions and (rule.route is not Route.IMMERSE or may_soak)


def _conditions(when: When) -> int:
    materials = (when.wholly, when.not_wholly, when.any_of)
    facts = (when.porous, when.immersible, when.electric)
    return sum(map(bool, materials)) + sum(fact is not None for fact in facts)


def _wholly(seen: SeenItem, families: Iterable[str]) -> bool:
    return bool(seen.parts) and all(set(part.families) <= set(families) for part in seen.parts)


def _families(seen: SeenItem) -> set[str]:
    return {family for part in seen.parts for family in part.families}
