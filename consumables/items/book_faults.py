"""Finds the rules of a book that can never speak, and those that fight each other.

A rule is dead when its conditions cannot all hold, or when for every noun it names another rule of
the same book speaks whenever it does and always goes first. Two rules fight when they speak of the
same noun under the same conditions and give two answers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from consumables.errors import BadRuleBook
from consumables.items.book_table import listed
from consumables.items.matching import rank
from consumables.items.materials import is_porous
from consumables.items.rulebook import Parameters, Rule, RuleBook, When
from consumables.items.trade_words import kind_of, known_kind
from consumables.words import Category, Confidence, Route

_NOT_ALWAYS_FOLLOWED = (Route.IMMERSE, Route.STERILISE, Route.LAUNDER)


def refuse_dead_rules(rules: Sequence[Rule], where: str) -> None:
    """Refuse a book with a rule that can never decide; BadRuleBook names the file and the rule."""
    for rule_id, fault in faults(rules):
        raise BadRuleBook(f"{where}, rule '{rule_id}': {fault}. The book was not read.")


def faults(rules: Sequence[Rule]) -> Iterator[tuple[str, str]]:
    """(rule_id, what is wrong) of every dead rule and every fight, in the book's sequence."""
    for rule in rules:
        if impossible := _impossible(rule):
            yield rule.rule_id, impossible
    yield from _fights(rules)
    yield from _shadowed(rules)


def doubts(book: RuleBook) -> Iterator[str]:
    """What stands in a sound book and still wants a second look, in sentences."""
    for rule in book.rules:
        for kind in rule.when.kinds:
            if not known_kind(kind):
                yield (
                    f"rule '{rule.rule_id}' names '{kind}', which the word list does not know: it "
                    "speaks only of items whose kind says exactly that"
                )
        if any(cite.confidence in (Confidence.MEMORY, Confidence.PRACTICE) for cite in rule.cites):
            yield f"rule '{rule.rule_id}' rests on memory or common practice, not on a text"
        elif not any(cite.edition for cite in rule.cites):
            yield f"rule '{rule.rule_id}' does not say which edition was seen"
    if book.parameters != Parameters() and not book.parameters.cites:
        yield "[parameters] does not say where it stands ('cites')"


def _impossible(rule: Rule) -> str:
    """Why its conditions can never hold together, or an empty text."""
    when = rule.when
    if when.wholly and when.any_of and not set(when.wholly) & set(when.any_of):
        return f"can never speak: a thing wholly {listed(when.wholly)} is never of the other stuff"
    if when.wholly and set(when.wholly) <= set(when.not_wholly):
        return "can never speak: 'not_wholly' shuts out all that 'wholly' asks for"
    if when.porous is False and _all_porous(when.wholly or when.any_of):
        return "can never speak: it asks for no pores in stuff that is porous by the material list"
    if when.immersible is False and rule.route is Route.IMMERSE:
        return "can never be followed: it immerses what may not lie in solution"
    return ""


def _all_porous(families: tuple[str, ...]) -> bool:
    return bool(families) and all(is_porous(family) is True for family in families)


def _fights(rules: Sequence[Rule]) -> Iterator[tuple[str, str]]:
    for one, other in combinations(rules, 2):
        both = _nouns(one) & _nouns(other)
        if not both or _conditions(one) != _conditions(other) or _says(one) == _says(other):
            continue
        about = f"of '{listed(both)}' " if both != {""} else ""
        yield (
            other.rule_id,
            f"contradicts rule '{one.rule_id}': {about}one says {one.category}, {one.route}, the "
            f"other {other.category}, {other.route}, under the same conditions",
        )


def _shadowed(rules: Sequence[Rule]) -> Iterator[tuple[str, str]]:
    for rule in rules:
        before = [_first_before(single, rule, rules) for single in _by_noun(rule)]
        if all(before):
            names = listed({f"'{one.rule_id}'" for one in before if one})
            yield (
                rule.rule_id,
                f"can never be reached: rule {names} always goes first; remove it or narrow it",
            )


def _first_before(single: Rule, rule: Rule, rules: Sequence[Rule]) -> Rule | None:
    """A rule that speaks and decides wherever `single`, one noun of `rule`, would."""
    at = rules.index(rule)
    for place, other in enumerate(rules):
        if other is rule or not _covers(other, single):
            continue
        if (rank(other), place) < (rank(single), at):
            return other
    return None


def _by_noun(rule: Rule) -> list[Rule]:
    """The rule once for each noun it names, or as it is when it names none."""
    nouns = sorted(_nouns(rule) - {""})
    return [replace(rule, when=replace(rule.when, kinds=(noun,))) for noun in nouns] or [rule]


def _covers(other: Rule, rule: Rule) -> bool:
    """Whether `other` speaks, and may decide, of everything that `rule` speaks of."""
    wide, narrow = other.when, rule.when
    return (
        (not wide.kinds or (bool(narrow.kinds) and _nouns(rule) <= _nouns(other)))
        and _materials_cover(wide, narrow)
        and _facts_cover(wide, narrow)
        and _heard_wherever(other, rule)
    )


def _materials_cover(wide: When, narrow: When) -> bool:
    return (
        (not wide.wholly or (bool(narrow.wholly) and set(narrow.wholly) <= set(wide.wholly)))
        and (not wide.not_wholly or set(wide.not_wholly) <= set(narrow.not_wholly))
        and (not wide.any_of or (bool(narrow.any_of) and set(narrow.any_of) <= set(wide.any_of)))
    )


def _facts_cover(wide: When, narrow: When) -> bool:
    pairs = (
        (wide.porous, narrow.porous),
        (wide.immersible, narrow.immersible),
        (wide.electric, narrow.electric),
    )
    return all(asked is None or asked is given for asked, given in pairs)


def _heard_wherever(other: Rule, rule: Rule) -> bool:
    """A single-use rule is always heard; a lenient one only where its own route can be followed."""
    if other.category is Category.SINGLE_USE or other.route is rule.route:
        return True
    return other.category is rule.category and other.route not in _NOT_ALWAYS_FOLLOWED


def _nouns(rule: Rule) -> set[str]:
    return {kind_of(kind) for kind in rule.when.kinds} or {""}


def _conditions(rule: Rule) -> tuple[object, ...]:
    when = rule.when
    stuff = (frozenset(when.wholly), frozenset(when.not_wholly), frozenset(when.any_of))
    return (*stuff, when.porous, when.immersible, when.electric)


def _says(rule: Rule) -> tuple[object, ...]:
    return (rule.category, rule.route, rule.banned)
