"""Bringing files in: the catalogue, the appointment book, and what happened before today."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

from consumables.desk.opening import Desk
from consumables.errors import Refused
from consumables.items.catalogue import Catalogue, OpeningStock
from consumables.items.classify import classify
from consumables.items.own_verdict import looser, unmade
from consumables.items.rulebook_reader import find_book
from consumables.items.verdict import Verdict
from consumables.ledger.events import Event, LotReceived, PieceTagged
from consumables.store.shop_store import Session
from consumables.words import Category

BOOK_BACK = timedelta(days=400)  # how far back a calendar is read
BOOK_AHEAD = timedelta(days=400)  # and how far ahead an endless series is followed


@dataclass(frozen=True)
class BroughtIn:
    """What a file changed, and what it said that we could not use."""

    sentence: str
    warnings: tuple[str, ...] = ()
    unmapped: tuple[str, ...] = ()


def bring_in_catalogue(desk: Desk, folder: Path, dry_run: bool = False) -> BroughtIn:
    """Read a catalogue folder or workbook and take it over whole; a bad row refuses all of it.

    Opening stock counts once for each lot name. The book in force stays as the shop chose it.
    """
    from consumables.paperwork.catalogue_folder import read_catalogue

    catalogue = read_catalogue(folder)
    if dry_run:
        return BroughtIn(f"{folder}: {len(catalogue.items)} items read; nothing was written.")
    with desk.store.writing() as session:
        desk.catch_up(session)
        settings = session.settings()
        if settings is not None:
            chosen = replace(catalogue.settings, rule_book=settings.rule_book)
            catalogue = replace(catalogue, settings=chosen)
            refuse_looser(desk, catalogue)
        session.write_settings(catalogue.settings)
        changes = session.write_catalogue(catalogue)
        shelved = open_the_shelf(desk, session, catalogue)
    desk.forget()
    return BroughtIn(_catalogue_sentence(folder, changes, shelved))


def bring_in_appointments(desk: Desk, path: Path, dry_run: bool = False) -> BroughtIn:
    """Read an iCalendar or CSV appointment book; reading the same file twice changes nothing."""
    from consumables.paperwork.calendars import read_appointments

    first, last = desk.today() - BOOK_BACK, desk.today() + BOOK_AHEAD
    read = read_appointments(
        path, desk.catalogue.services, desk.catalogue.words, desk.settings.zone, first, last
    )
    told = (tuple(read.warnings), tuple(read.unmapped))
    if dry_run:
        return BroughtIn(f"{path}: {len(read.appointments)} visits read; nothing written.", *told)
    window = (desk.now(), _midnight(desk, last))
    with desk.store.writing() as session:
        change = session.write_appointments(read.appointments, path.name, window)
    sentence = (
        f"{path.name}: {change.new} new visits, {change.changed} changed, "
        f"{change.cancelled} cancelled, {change.same} as before."
    )
    return BroughtIn(sentence, *told)


def refuse_looser(desk: Desk, catalogue: Catalogue) -> None:
    """A sheet may answer a question or make an item stricter; making it looser is signed for."""
    before = {name: classify(item, desk.book) for name, item in desk.items.items()}
    after = {item.item_id: classify(item, desk.book) for item in catalogue.items}
    loose = [
        f"{name} ({before[name].category}, now {verdict.category})"
        for name, verdict in after.items()
        if name in before and looser(before[name], verdict)
    ]
    if loose:
        raise Refused(
            f"These sheets would make items looser than before: {', '.join(loose)}. Nothing was "
            "brought in. Give a changed thing an id of its own, or sign with `consumables loosen`."
        )
    _refuse_unmade(desk, catalogue)


def _refuse_unmade(desk: Desk, catalogue: Catalogue) -> None:
    lost = [
        f"{item.item_id} ({what})"
        for item in catalogue.items
        if item.item_id in desk.items and (what := unmade(desk.items[item.item_id], item))
    ]
    if lost:
        raise Refused(
            f"These sheets would take back what the record rests on: {', '.join(lost)}. Nothing "
            "was brought in. Give a changed thing an id of its own."
        )


def _midnight(desk: Desk, day: date) -> datetime:
    return datetime.combine(day, time(), desk.zone)


def _catalogue_sentence(folder: Path, changes: dict[str, int], shelved: int) -> str:
    changed = [f"{number} {sort.replace('_', '-')}" for sort, number in changes.items() if number]
    told = ", ".join(changed) if changed else "nothing new in the catalogue"
    return f"{folder.name}: {told}; {shelved} lots of opening stock put on the shelf."


def open_the_shelf(desk: Desk, session: Session, catalogue: Catalogue) -> int:
    shelved = 0
    book = find_book(catalogue.settings.rule_book)
    items = {item.item_id: item for item in catalogue.items}
    for lot in catalogue.opening_stock:
        key = f"opening:{lot.item_id}:{lot.lot}"
        if session.find_job(key) is None:
            if lot.tagged and lot.item_id in items:
                _refuse_kept(classify(items[lot.item_id], book), items[lot.item_id].name, lot)
            job = desk.job("open-shelf", f"Opening stock: {lot.quantity} {lot.item_id}.", key)
            session.append(job, opening_events(lot, len(session.pieces([lot.item_id]))))
            shelved += 1
    return shelved


def _refuse_kept(verdict: Verdict, name: str, lot: OpeningStock) -> None:
    """Ready pieces of a thing for one client would serve the next one as soon as it is loosened."""
    if verdict.category is Category.SINGLE_USE:
        raise Refused(
            f"opening_stock: lot {lot.lot} of {name} is tagged, but {name} is single-use and never "
            "kept. Nothing was brought in. Write no under tagged, and count only unused ones."
        )


def opening_events(lot: OpeningStock, tagged_before: int = 0) -> list[Event]:
    """A lot of opening stock; kept things in rotation become ready pieces at once."""
    name = f"{lot.item_id}-{lot.lot}"
    events: list[Event] = [
        LotReceived(
            lot.item_id,
            name,
            lot.quantity,
            lot.use_by,
            lot.opened_on,
            lot.lot,
            lot.unit_cost,
        )
    ]
    if lot.tagged:
        events += [
            PieceTagged(lot.item_id, name, f"{lot.item_id}-{number:02d}", ready=True)
            for number in range(tagged_before + 1, tagged_before + lot.quantity + 1)
        ]
    return events
