"""Whatever is done at the sink, in whatever sequence: no piece is ready before its time, none that
met blood without the blood-level cycle, none of a failed load; adding never shortens a clock.

Each piece is followed here by hand, in a way that shares no code with the ledger.
"""

import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random

import pytest
from small_shop import CATALOGUE, Clock, fill, put_in_book

from consumables.desk import inspecting, jars, spore_tests, sterilising, washing
from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import open_desk
from consumables.desk.tagging import tag
from consumables.desk.washing import WashPiece
from consumables.errors import DeskProblem
from consumables.words import PieceState

BOOKS = ("strict-majority", "us-texas")  # the second wants metal sterilised
NIPPERS = tuple(f"nipper-0{number}" for number in (1, 2, 3))
LABEL = 10  # minutes on the concentrate of the test shop
RUN_AND_DRY = 45  # steam-gravity at 121 C: 30 min and 15 to dry (CDC guideline 2008, table 7)
WEIGHTS = {
    "serve": 5,
    "clean": 6,
    "ultrasonic": 1,
    "bath": 6,
    "load": 3,
    "unload": 3,
    "take out": 5,
    "jar": 1,
    "spore test": 1,
    "look": 2,
    "drop": 1,
    "night": 1,
    "minutes": 9,
}


@dataclass
class Followed:
    """What is known by hand of one piece."""

    washed: bool = False
    wet_since: datetime | None = None  # when the bath it lies in was last added to
    jar: str = ""
    load: str = ""
    met_blood: bool = False
    strong: bool = False  # this round is at the blood level


class AtTheSink:
    """A sink at which anything may be tried."""

    def __init__(self, book: str, chance: Random) -> None:
        self.chance = chance
        self.stack = ExitStack()
        folder = self.stack.enter_context(tempfile.TemporaryDirectory())
        self.clock = Clock()
        self.desk = self.stack.enter_context(
            open_desk(str(Path(folder) / "shop.db"), "AB", self.clock, must_exist=False)
        )
        fill(self.desk, replace(CATALOGUE, settings=replace(CATALOGUE.settings, rule_book=book)))
        tag(self.desk, "nipper", 1)
        # The first two came tagged as ready; the third is new and has never been washed.
        long_ago = self.clock.at - timedelta(days=1)
        self.known = {name: Followed(washed=True, wet_since=long_ago) for name in NIPPERS[:2]}
        self.known[NIPPERS[2]] = Followed()
        self.doubted: set[str] = set()  # loads that proved nothing
        self.visits = 0
        self.before = self.pieces()

    def somebody_does_something(self) -> None:
        """Mostly what is next at the sink, often something else, at times out of turn."""
        self.before = self.pieces()
        names = tuple(self.chance.sample(NIPPERS, self.chance.randint(1, 3)))
        in_turn, blood = self.chance.random() < 0.8, self.chance.random() < 0.5
        match self.chance.choices(list(WEIGHTS), list(WEIGHTS.values()))[0]:
            case "serve":
                self.serve(self.at("-", names)[0] if in_turn else names[0], blood)
            case "clean":
                self.clean(self.at("clean", names) if in_turn else names)
            case "ultrasonic":
                self.done(partial(washing.ultrasonic, self.desk, self.at("treat", names)))
            case "bath":
                self.bathe(self.at("treat", names)[:2] if in_turn else names, blood)
            case "load":
                self.load(self.at("load", self.at("treat", names)[:1]) if in_turn else names)
            case "unload":
                self.unload("changed" if in_turn else "not-changed")
            case "take out":
                self.take_out(self.at("take out", names) if in_turn else names)
            case "jar":
                self.mix("disinfect" if in_turn else "ultrasonic")
            case "spore test":
                self.spore_test(passed=in_turn)
            case "look":
                self.look(names[0], self.chance.choice(["", "pouch torn", "scratch"]))
            case "drop":
                if self.done(partial(washing.wash_again, self.desk, names[:1])):
                    self.starts_anew(names[0])
            case "night":
                self.night()
            case _:
                self.clock.passes(self.chance.choice([1, 4, 9, 10, 10, 45]))

    # what somebody does

    def serve(self, name: str, blood: bool) -> None:
        self.visits += 1
        put_in_book(self.desk, f"v{self.visits}", ("manicure",))
        card = card_for(self.desk, f"v{self.visits}")
        line = next(line for line in card.lines if line.item_id == "nipper")
        card = replace(card, lines=(replace(line, piece_ids=(name,)),), contaminated=blood)
        if self.done(partial(close_visit, self.desk, card)):
            self.known[name] = Followed(met_blood=blood)

    def clean(self, names: tuple[str, ...]) -> None:
        if self.done(partial(washing.clean, self.desk, names)):
            for name in names:
                self.known[name].washed = True

    def bathe(self, names: tuple[str, ...], blood: bool) -> None:
        found = jars.jars(self.desk)
        jar = self.chance.choice(found).jar_id if found else ""
        if not self.done(partial(washing.treat, self.desk, names, blood, jar)):
            return
        for name in names:
            self.known[name].jar, self.known[name].strong = jar, blood
        for piece in self.known.values():
            if piece.jar == jar:
                piece.wet_since = self.clock.at
        after = self.pieces()
        for name, was in self.before.items():
            assert was.ready_at is None or after[name].ready_at >= was.ready_at

    def load(self, names: tuple[str, ...]) -> None:
        told = (names, "steam-gravity", 121, 30)
        if self.done(partial(sterilising.start_load, self.desk, *told)):
            number = sterilising.loads(self.desk)[0].load_id
            for name in names:
                piece = self.known[name]
                piece.load, piece.strong, piece.wet_since = number, True, self.clock.at

    def unload(self, indicator: str) -> None:
        running = [load for load in sterilising.loads(self.desk) if load.indicator == "running"]
        for load in running[:1]:
            out = self.done(partial(sterilising.unload, self.desk, load.load_id, indicator))
            if out and indicator == "not-changed":
                self.doubt({load.load_id}, met_unknown=False)

    def take_out(self, names: tuple[str, ...]) -> None:
        if self.done(partial(washing.take_out, self.desk, names)):
            for name in names:
                self.known[name].jar = ""

    def mix(self, purpose: str) -> None:
        mix = partial(jars.mix_jar, self.desk, "concentrate", 65, 64, purpose=purpose)
        self.done(mix)

    def spore_test(self, passed: bool) -> None:
        if not self.done(partial(spore_tests.take_spore_test, self.desk)):
            return
        tests = spore_tests.spore_tests(self.desk)
        last = max((t.taken_at for t in tests if t.result == "passed"), default=None)
        since = {
            load.load_id
            for load in sterilising.loads(self.desk)
            if last is None or load.started_at > last
        }
        told = (tests[0].test_id, "passed" if passed else "failed")
        assert self.done(partial(spore_tests.read_spore_test, self.desk, *told))
        if not passed:
            self.doubt(since, met_unknown=True)

    def look(self, name: str, found: str) -> None:
        looked = self.done(partial(inspecting.look_over, self.desk, [name], found))
        if looked and found == "pouch torn":
            self.starts_anew(name)

    def night(self) -> None:
        self.clock.passes(60 * 22)
        for jar in jars.jars(self.desk):
            self.done(partial(jars.empty_jar, self.desk, jar.jar_id))
        self.mix("disinfect")

    # what is known

    def starts_anew(self, name: str) -> None:
        was_ready = self.before[name].state is PieceState.READY
        self.known[name] = Followed(met_blood=self.known[name].met_blood and not was_ready)

    def doubt(self, loads: set[str], met_unknown: bool) -> None:
        self.doubted |= loads
        for name, piece in self.known.items():
            if piece.load in loads:
                self.known[name] = Followed(met_blood=met_unknown or piece.met_blood)

    def pieces(self) -> dict[str, WashPiece]:
        everything = washing.wash_list(self.desk, everything=True)
        return {piece.piece_id: piece for piece in everything if piece.item_id == "nipper"}

    def at(self, step: str, otherwise: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(n for n, piece in self.before.items() if piece.next_step == step) or otherwise

    def done(self, job: Callable[[], object]) -> bool:
        with suppress(DeskProblem):
            job()
            return True
        return False

    # what must hold

    def what_is_ready_was_washed_and_had_its_whole_time(self) -> None:
        for name, piece in self.pieces().items():
            if piece.state is PieceState.READY:
                by_hand = self.known[name]
                assert by_hand.washed
                assert by_hand.wet_since is not None
                wet = (self.clock.at - by_hand.wet_since).total_seconds() / 60
                assert wet >= (RUN_AND_DRY if by_hand.load else LABEL)
                assert by_hand.strong or not by_hand.met_blood
                assert by_hand.load not in self.doubted

    def nothing_wet_may_come_out_before_the_label_says(self) -> None:
        for name, piece in self.pieces().items():
            if piece.state is PieceState.IN_TREATMENT:
                since = self.known[name].wet_since
                assert since is not None
                assert piece.ready_at is not None
                assert (piece.ready_at - since).total_seconds() / 60 >= LABEL


def work_at(book: str, seed: int, jobs: int) -> Counter[str]:
    """So many jobs at the sink, looked at after each; what came of them, by kind of event."""
    sink = AtTheSink(book, Random(seed))
    try:
        for _ in range(jobs):
            sink.somebody_does_something()
            sink.what_is_ready_was_washed_and_had_its_whole_time()
            sink.nothing_wet_may_come_out_before_the_label_says()
        assert check(sink.desk) == []
        with sink.desk.store.reading() as session:
            return Counter(type(entry.event).__name__ for entry in session.read())
    finally:
        sink.stack.close()


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("book", BOOKS)
def test_nothing_is_ready_before_its_time_whatever_is_done(book: str, seed: int) -> None:
    happened = work_at(book, seed, 300)
    assert happened["Treated"]
    assert happened["SentBack"]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 22))
@pytest.mark.parametrize("book", BOOKS)
def test_nothing_is_ready_before_its_time_in_a_long_life(book: str, seed: int) -> None:
    happened = work_at(book, seed, 600)
    for kind in ("Treated", "Pouched", "LoadChecked", "SporeTestRead", "SentBack"):
        assert happened[kind]
