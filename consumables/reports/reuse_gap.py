"""What the cards of a period leave unsaid: one fresh single-use thing for each client, or none.

The rule: a single-use thing that a service is set up with is drawn anew for every visit that has
the service: at least one. A thing marked once-per-visit is asked for once, however many services
name it. How many more the set-up plans is the shop's own plan, not the rule, and is not asked for
here. What is poured or left on the client is not counted; the surfaces of cores are.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from consumables.closeout.service_card import surfaces_of, with_surfaces
from consumables.items.catalogue import SetUpLine
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.words import Category, Route, Unit

DRAWN, FLAGGED, STOOD_IN, MISSING = "drawn", "flagged", "stood in", "missing"


@dataclass(frozen=True)
class Asked:
    """A thing that each visit with this service draws anew."""

    service_id: str
    item_id: str
    once_per_visit: bool


@dataclass(frozen=True)
class UseTold:
    """Units that a card says were used; `flagged`: outside the rules or the counted stock."""

    service_id: str
    item_id: str
    units: int
    flagged: bool = False


@dataclass(frozen=True)
class CardTold:
    """One served visit and all that its card says; `technician` by initials."""

    visit_id: str
    at: datetime  # closed, in the shop's zone
    technician: str
    service_ids: tuple[str, ...]
    uses: tuple[UseTold, ...]


@dataclass(frozen=True)
class Answer:
    """One thing asked of one visit, and how its card answers: drawn | flagged | stood in |
    missing."""

    visit_id: str
    at: datetime
    technician: str
    service_id: str
    item_id: str
    said: str


@dataclass(frozen=True)
class Counting:
    """One count of one item, all its lots together; `expected` is what the ledger said, `as_new`
    what somebody later said was new and put on the shelf."""

    item_id: str
    at: datetime
    expected: int
    counted: int
    as_new: int = 0


@dataclass(frozen=True)
class Rule:
    """What each visit is asked for: `asked` by service; `planned` units by (service, item) and
    `kinds` by item tell when one thing stood in for another."""

    asked: Mapping[str, tuple[Asked, ...]]
    planned: Mapping[tuple[str, str], int]
    kinds: Mapping[str, str]


def rule_of(
    set_ups: Iterable[SetUpLine], items: Mapping[str, Item], verdicts: Mapping[str, Verdict]
) -> Rule:
    """What the verdicts in force ask of each service, from its set-up."""
    asked: dict[str, dict[str, Asked]] = {}
    planned: Counter[tuple[str, str]] = Counter()
    for line in with_surfaces(set_ups, items):
        planned[line.service_id, line.item_id] += line.quantity
        if line.quantity and _counts(items.get(line.item_id), verdicts.get(line.item_id)):
            found = Asked(line.service_id, line.item_id, line.once_per_visit)
            asked.setdefault(line.service_id, {}).setdefault(line.item_id, found)
    things = {service: tuple(found.values()) for service, found in asked.items()}
    return Rule(things, planned, {name: item.kind for name, item in items.items()})


def not_counted(
    set_ups: Iterable[SetUpLine], items: Mapping[str, Item], verdicts: Mapping[str, Verdict]
) -> tuple[str, ...]:
    """Cores of the set-ups whose surface is not bought as an item: nothing can be said of it."""
    named = dict.fromkeys(line.item_id for line in set_ups if line.item_id in verdicts)
    return tuple(
        item_id
        for item_id in named
        if verdicts[item_id].category is Category.REPLACEABLE_SURFACE
        and not surfaces_of(items[item_id])
    )


def answers(card: CardTold, rule: Rule) -> tuple[Answer, ...]:
    """How one card answers everything that its services ask for."""
    asked = _asked_of(card.service_ids, rule)
    said: list[str] = [""] * len(asked)
    spare = _spare(card, rule)
    _answer(asked, said, _units(card, flagged=False), DRAWN)
    _answer(asked, said, _units(card, flagged=True), FLAGGED)
    for at, thing in enumerate(asked):
        kind = rule.kinds.get(thing.item_id, "")
        if not said[at]:
            said[at] = STOOD_IN if spare[kind] else MISSING
            spare[kind] -= bool(spare[kind])
    return tuple(
        Answer(card.visit_id, card.at, card.technician, thing.service_id, thing.item_id, word)
        for thing, word in zip(asked, said, strict=True)
    )


def _counts(item: Item | None, verdict: Verdict | None) -> bool:
    if item is None or verdict is None or verdict.banned_here:
        return False
    poured = item.dispensed or verdict.route is Route.DISPENSE or item.unit is not Unit.EACH
    return verdict.category is Category.SINGLE_USE and not poured


def _asked_of(service_ids: Sequence[str], rule: Rule) -> list[Asked]:
    named = [thing for service in service_ids for thing in rule.asked.get(service, ())]
    each = {thing.item_id for thing in named if not thing.once_per_visit}
    asked: list[Asked] = []
    for thing in named:
        if not thing.once_per_visit or thing.item_id not in each:
            asked.append(thing)
            each.add(thing.item_id)
    return asked


def _units(card: CardTold, flagged: bool) -> Counter[tuple[str, str]]:
    pool: Counter[tuple[str, str]] = Counter()
    for use in card.uses:
        if use.flagged is flagged:
            pool[use.item_id, use.service_id] += use.units
    return pool


def _answer(
    asked: Sequence[Asked], said: list[str], pool: Counter[tuple[str, str]], word: str
) -> None:
    """Units first answer for their own service, then for any other of the same visit."""
    for own in (True, False):
        for at, thing in enumerate(asked):
            if not said[at]:
                found = _unit_for(thing, pool, own)
                if found is not None:
                    pool[found] -= 1
                    said[at] = word


def _unit_for(thing: Asked, pool: Counter[tuple[str, str]], own: bool) -> tuple[str, str] | None:
    if own:
        key = (thing.item_id, thing.service_id)
        return key if pool[key] > 0 else None
    return next((key for key, left in pool.items() if key[0] == thing.item_id and left > 0), None)


def _spare(card: CardTold, rule: Rule) -> Counter[str]:
    """Units by kind beyond what the set-ups plan of each item: another file, not the usual one.
    A thing without a kind stands in for nothing."""
    left: Counter[str] = Counter()
    for use in card.uses:
        left[use.item_id] += 0 if use.flagged else use.units
    spare: Counter[str] = Counter()
    for item_id, units in left.items():
        planned = sum(rule.planned.get((service, item_id), 0) for service in card.service_ids)
        if kind := rule.kinds.get(item_id, ""):
            spare[kind] += max(0, units - planned)
    return spare
