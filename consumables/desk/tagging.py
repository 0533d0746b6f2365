"""Tags: what may never be used again says so, and every kept tool carries its own."""

import itertools
from collections.abc import Iterable, Mapping, Sequence

from consumables.desk.coded import coded
from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.items.tags import ContainerLabel, Tag, dilution_words, tag_for
from consumables.ledger.events import Event, PieceTagged
from consumables.ledger.marks import JarMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import first_to_expire
from consumables.store.shop_store import Session
from consumables.words import Category, PieceState


def tag(desk: Desk, item_id: str, count: int = 1, client: str = "") -> Receipt:
    """Take new units of a kept item off the shelf and give each a tag; they start in the wash.

    With `client` the piece is that client's own kit: refused unless the book in force allows it.
    """
    item, verdict = desk.item(item_id), desk.verdicts[item_id]
    if verdict.category is Category.SINGLE_USE and not (client and verdict.kit_allowed):
        raise Refused(f"{item.name} is single-use under {desk.book.title}: it is never kept.")
    if count < 1:
        raise Refused("Say how many are tagged (at least 1).")
    kit = bool(client) and verdict.category is Category.SINGLE_USE
    client = coded(client, "client")
    names: list[str] = []

    def decide(session: Session) -> list[Event]:
        lots = first_to_expire(tuple(session.lots([item_id])))
        units = [lot.lot_id for lot in lots for _ in range(lot.on_hand)][:count]
        if len(units) < count:
            raise Refused(
                f"{item.name}: {count} to tag, {len(units)} new on the shelf. Take in a delivery "
                "first: its kept things are tagged with it."
            )
        names.extend(free_tags(item_id, session.pieces([item_id]), count))
        return [
            PieceTagged(item_id, lot, name, ready=kit, client=client)
            for lot, name in zip(units, names, strict=True)
        ]

    receipt = desk.do("tag", f"{count} x {item.name} tagged.", decide)
    return Receipt(
        receipt.job_key, f"Tagged {', '.join(names)}; wash them before the first client."
    )


def free_tags(item_id: str, pieces: Iterable[PieceBalance], count: int) -> list[str]:
    """So many tags of an item that no piece carries; an undone tagging leaves gaps behind it."""
    taken = {piece.piece_id for piece in pieces}
    tags = (f"{item_id}-{number:02d}" for number in itertools.count(len(taken) + 1))
    return list(itertools.islice((tag for tag in tags if tag not in taken), count))


def tags(desk: Desk, item_ids: Sequence[str] = ()) -> list[Tag]:
    """What to write on the things themselves: one tag for each kept piece, each lot of what is
    for one client with its use-by, and each item of which nothing is there. All items when none
    is named."""
    wanted = [desk.item(item_id) for item_id in item_ids] or list(desk.items.values())
    with desk.store.reading() as session:
        lots, pieces = session.lots(), session.pieces()
    found: list[Tag] = []
    for item in wanted:
        verdict = desk.verdicts[item.item_id]
        own = [
            tag_for(
                item,
                verdict,
                piece_id=piece.piece_id,
                client=piece.client if verdict.kit_allowed else "",
            )
            for piece in pieces
            if piece.item_id == item.item_id and piece.state is not PieceState.RETIRED
        ]
        own += [
            tag_for(
                item,
                verdict,
                lot=lot.lot_id,
                use_by=lot.use_by,
                supplier_lot=lot.supplier_lot,
            )
            for lot in lots
            if lot.item_id == item.item_id and lot.on_hand
        ]
        found += own or [tag_for(item, verdict)]
    return found


# The names that the book's file gives to containers (docs/rule_books.md).
JAR, DECANTED = "disinfectant container", "secondary container"


def container_labels(desk: Desk, decanted: Sequence[str] = ()) -> list[ContainerLabel]:
    """What the containers say, in the words of the book in force: one label for each jar in use
    with contents, dilution and dates, one for each of the `decanted` items that stands in another
    bottle than its own, and one for every other container the book names.
    """
    asked = desk.book.parameters.container_labels or tuple(
        ("container", words) for words in desk.book.parameters.storage_labels
    )
    words = dict(asked)
    with desk.store.reading() as session:
        jars: list[JarMark] = session.marks("jar")
    found = [_jar_label(desk, jar, words) for jar in jars]
    found += [_decanted_label(desk.item(item_id).name, words) for item_id in decanted]
    standing = [(place, text) for place, text in asked if not _about_contents(place, text)]
    return found + [
        ContainerLabel(place, text) for place, text in standing if place != JAR or not jars
    ]


def _jar_label(desk: Desk, jar: JarMark, words: Mapping[str, str]) -> ContainerLabel:
    contents, dilution = desk.name_of(jar.item_id), dilution_words(jar.parts_water)
    disinfects = jar.purpose == "disinfect"
    place = JAR if disinfects and JAR in words else DECANTED
    filled = _filled(words.get(place, "<contents>"), contents, dilution)
    mixed, until = (at.astimezone(desk.zone) for at in (jar.mixed_at, jar.change_by))
    return ContainerLabel(
        place if disinfects else f"{jar.purpose} bath",
        filled,
        "" if contents in filled else contents,
        "" if dilution in filled else dilution,
        f"Mixed {mixed:%Y-%m-%d %H:%M}",
        f"Change by {until:%Y-%m-%d %H:%M}",
    )


def _decanted_label(contents: str, words: Mapping[str, str]) -> ContainerLabel:
    filled = _filled(words.get(DECANTED, "<contents>"), contents, "")
    return ContainerLabel(DECANTED, filled, "" if contents in filled else contents)


def _filled(words: str, contents: str, dilution: str) -> str:
    said = words.replace("<contents>", contents).replace("<dilution>", dilution)
    return said.strip(" ,")


def _about_contents(place: str, words: str) -> bool:
    return place == DECANTED or "<" in words
