"""Opening the shop in the morning: who is at the desk, what the clock says, what is known."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo

from consumables.errors import NotFound, Refused, ShopUnavailable
from consumables.items.catalogue import Catalogue, ShopSettings
from consumables.items.classify import classify
from consumables.items.item import Item
from consumables.items.own_verdict import loosened, may_be_loosened, tightened
from consumables.items.rulebook import RuleBook
from consumables.items.rulebook_reader import find_book, shipped, shipped_names
from consumables.items.verdict import Verdict
from consumables.ledger.events import Event
from consumables.ledger.marks import LoosenedMark
from consumables.store.ledger_store import Job
from consumables.store.shop_store import Session, ShopStore

SHOP_VARIABLE = "CONSUMABLES_SHOP"


@dataclass(frozen=True)
class Receipt:
    """What a job did, in a sentence and in lists a screen can show."""

    job_key: str
    sentence: str
    bin: tuple[str, ...] = ()
    sharps: tuple[str, ...] = ()
    wash: tuple[str, ...] = ()
    strip: tuple[str, ...] = ()
    flagged: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    again: bool = False  # this job had been done before; nothing was written twice


def default_shop() -> str:
    """Where the shop file lies when nobody says: an environment variable, else the user's data."""
    from platformdirs import user_data_path

    return os.environ.get(SHOP_VARIABLE) or str(user_data_path("consumables") / "shop.db")


def utc_now() -> datetime:
    """The wall clock, aware."""
    return datetime.now(UTC)


@dataclass
class Desk:
    """An open shop with somebody at it. Jobs take this and nothing else from the outside."""

    store: ShopStore
    who: str = ""
    clock: Callable[[], datetime] = field(default=utc_now)

    def now(self) -> datetime:
        """The time at the desk, in the shop's own zone."""
        return self.clock().astimezone(self.zone)

    def today(self) -> date:
        """The shop's own date."""
        return self.now().date()

    def forget(self) -> None:
        """Drop what was read of the catalogue, after it changed."""
        for name in ("catalogue", "items", "verdicts", "book", "zone", "known_by"):
            self.__dict__.pop(name, None)

    def catch_up(self, session: Session) -> bool:
        """Forget what another desk has changed meanwhile (book, verdicts, catalogue); did it?"""
        known_by = self.__dict__.get("known_by")
        stale = known_by is not None and known_by != session.known_by()
        if stale:
            self.forget()
        return stale

    @cached_property
    def known_by(self) -> str:
        """A mark of the book, verdicts and catalogue as this desk has read them."""
        with self.store.reading() as session:
            return session.known_by()

    @cached_property
    def catalogue(self) -> Catalogue:
        """The shop's catalogue as last brought in."""
        _ = self.known_by  # noted first: what changes in between is then read once more
        with self.store.reading() as session:
            return session.catalogue()

    @property
    def settings(self) -> ShopSettings:
        """What the shop has decided for itself."""
        return self.catalogue.settings

    @cached_property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.settings.zone)

    @cached_property
    def items(self) -> Mapping[str, Item]:
        """Every item by its id."""
        return {item.item_id: item for item in self.catalogue.items}

    @cached_property
    def book(self) -> RuleBook:
        """The rule book in force."""
        return find_book(self.settings.rule_book)

    @cached_property
    def verdicts(self) -> Mapping[str, Verdict]:
        """Every item's verdict under the book in force, tightened where the shop did so."""
        with self.store.reading() as session:
            tight, loose = session.marks("tight"), session.marks("loose")
        verdicts = {name: classify(item, self.book) for name, item in self.items.items()}
        for mark in loose:
            if may_be_loosened(self.items[mark.item_id], verdicts[mark.item_id]):
                verdicts[mark.item_id] = _loosened(verdicts[mark.item_id], mark)
        for mark in tight:
            verdicts[mark.item_id] = tightened(verdicts[mark.item_id], mark.because)
        return verdicts

    def explained(self, item_id: str) -> Verdict:
        """One item's verdict with what the other shipped books say."""
        item = self.item(item_id)
        others = [shipped(name) for name in shipped_names() if name != self.book.name]
        verdict = self.verdicts[item_id]
        disagree = classify(item, self.book, others).disagree
        return replace(verdict, disagree=disagree)

    def item(self, item_id: str) -> Item:
        """One item; NotFound names it."""
        found = self.items.get(item_id)
        if found is None:
            raise NotFound(
                f"No item {item_id} is in this shop's catalogue; `consumables items` lists them."
            )
        return found

    def service_name(self, service_id: str) -> str:
        """A service in the shop's own words."""
        names = {s.service_id: s.name for s in self.catalogue.services}
        return names.get(service_id, service_id)

    def name_of(self, item_id: str) -> str:
        """An item in the shop's own words."""
        found = self.items.get(item_id)
        return found.name if found else item_id

    def job(
        self, verb: str, sentence: str, key: str | None = None, undoes: str | None = None
    ) -> Job:
        """A job that is about to be written; without a key it gets one that nothing else has."""
        return Job(key or uuid4().hex, self.clock(), self.who, verb, sentence, undoes)

    def do(
        self,
        verb: str,
        sentence: str,
        decide: Callable[[Session], list[Event]],
        key: str | None = None,
    ) -> Receipt:
        """Read, decide and write once, in one transaction; a key sent twice counts once."""
        with self.store.writing() as session:
            done = session.find_job(key) if key else None
            if done is not None:
                return Receipt(done.job_key, done.sentence, again=True)
            if self.catch_up(session):
                raise Refused(
                    "Another desk changed the rule book, an item or its verdict a moment ago: "
                    "nothing was written. Look again and repeat."
                )
            job = self.job(verb, sentence, key)
            session.append(job, decide(session))
        return Receipt(job.job_key, sentence)


@contextmanager
def open_desk(
    shop: str | None = None,
    who: str = "",
    clock: Callable[[], datetime] = utc_now,
    must_exist: bool = True,
) -> Iterator[Desk]:
    """Open a shop file (default place when `shop` is None) for somebody with these initials.

    Raises ShopUnavailable where there is no shop yet and `must_exist`.
    """
    location = shop or default_shop()
    if must_exist and "://" not in location and not Path(location).expanduser().exists():
        raise ShopUnavailable(
            f"There is no shop at {location} yet. Make one with `consumables begin FOLDER`, "
            "or look at the invented one with `consumables demo`."
        )
    store = ShopStore(location)
    try:
        yield Desk(store, who, clock)
    finally:
        store.close()


def _loosened(verdict: Verdict, mark: LoosenedMark) -> Verdict:
    signed = (mark.signed_by, mark.signed_on)
    return loosened(verdict, mark.route, mark.because, mark.citation, *signed)


def refuse_unknown_initials(desk: Desk) -> None:
    """Initials must be one of the shop's technicians, where the shop names any."""
    known = desk.settings.technicians
    if known and desk.who and desk.who not in known:
        raise Refused(f"Nobody here signs as {desk.who}; the shop knows {', '.join(known)}.")
