"""The card of a visit: what its services are set up with, ready to be agreed or amended."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from consumables.items.catalogue import SetUpLine
from consumables.items.item import Item
from consumables.items.own_verdict import refills


@dataclass(frozen=True)
class CardLine:
    """One item of the card; `quantity` in the item's unit, 0 when it was not used."""

    item_id: str
    service_id: str
    quantity: int
    piece_ids: tuple[str, ...] = ()  # named pieces; empty lets the card choose


@dataclass(frozen=True)
class ServiceCard:
    """What one visit used, as far as anyone has said."""

    visit_id: str
    service_ids: tuple[str, ...]
    lines: tuple[CardLine, ...]
    client: str = ""
    technician: str = ""
    contaminated: bool = False  # blood, broken skin or an unhealthy nail


def card_lines(
    service_ids: Sequence[str], set_ups: Iterable[SetUpLine], items: Mapping[str, Item]
) -> tuple[CardLine, ...]:
    """The set-ups of the services, with a fresh surface beside every core that needs one."""
    wanted = with_surfaces(set_ups, items)
    lines: list[CardLine] = []
    for service in service_ids:
        for line in wanted:
            if line.service_id == service:
                _lay_out(lines, line)
    return tuple(lines)


def with_surfaces(set_ups: Iterable[SetUpLine], items: Mapping[str, Item]) -> list[SetUpLine]:
    """Set-ups in which every core has its fresh surface beside it, whoever wrote them down."""
    listed = list(set_ups)
    named = {(line.service_id, line.item_id) for line in listed}
    laid: list[SetUpLine] = []
    for line in listed:
        laid.append(line)
        needed = surfaces_of(items[line.item_id]) if line.item_id in items else ()
        laid += [
            replace(line, item_id=surface, quantity=line.quantity * needed.count(surface))
            for surface in dict.fromkeys(needed)
            if (line.service_id, surface) not in named
        ]
    return laid


def with_quantity(card: ServiceCard, index: int, quantity: int) -> ServiceCard:
    """The card with another quantity on one line; 0 means not used."""
    return _with_line(card, index, replace(card.lines[index], quantity=max(0, quantity)))


def with_pieces(card: ServiceCard, index: int, piece_ids: Sequence[str]) -> ServiceCard:
    """The card with the pieces named that really were in her hand."""
    named = tuple(dict.fromkeys(piece_ids))
    line = replace(card.lines[index], piece_ids=named, quantity=len(named))
    return _with_line(card, index, line)


def with_extra(
    card: ServiceCard, item_id: str, quantity: int, items: Mapping[str, Item]
) -> ServiceCard:
    """The card with an item more than the set-up asked for, and its surface if it has one."""
    service = card.service_ids[0] if card.service_ids else ""
    extra = with_surfaces([SetUpLine(service, item_id, max(0, quantity))], items)
    lines = list(card.lines)
    for wanted in extra:
        _lay_out(lines, wanted)
    return replace(card, lines=tuple(lines))


def surfaces_of(item: Item) -> tuple[str, ...]:
    """The items that this one's removable surfaces are bought as, one for each surface."""
    return refills(item)


def _with_line(card: ServiceCard, index: int, line: CardLine) -> ServiceCard:
    return replace(card, lines=(*card.lines[:index], line, *card.lines[index + 1 :]))


def _lay_out(lines: list[CardLine], wanted: SetUpLine) -> None:
    at = next((i for i, line in enumerate(lines) if line.item_id == wanted.item_id), None)
    if at is None:
        lines.append(CardLine(wanted.item_id, wanted.service_id, wanted.quantity))
    elif wanted.once_per_visit:
        lines[at] = replace(lines[at], quantity=max(lines[at].quantity, wanted.quantity))
    elif lines[at].service_id == wanted.service_id:
        lines[at] = replace(lines[at], quantity=lines[at].quantity + wanted.quantity)
    else:
        lines.append(CardLine(wanted.item_id, wanted.service_id, wanted.quantity))
