"""The steriliser at the sink: which cycle, what the indicator shows, and the spore tests."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose

if TYPE_CHECKING:
    from consumables.desk.spore_tests import SporeTest

TAKEN = "a test ran now"


async def load_them(place: Place, names: Sequence[str]) -> bool:
    """Ask for the cycle, the usual one first; True when the load was started."""
    from consumables.desk.sterilising import cautions, start_load, usual_cycles

    cycles = await place.look(usual_cycles)
    if not cycles:
        return False
    choices = [
        Choice(str(at), f"{one.method}, {one.minutes} min at {one.celsius} C ({one.fahrenheit} F)")
        for at, one in enumerate(cycles)
    ]
    title = f"Which cycle for {len(names)} in the steriliser?"
    words = "\n".join((*cautions(), "Longer or hotter: consumables steriliser load."))
    taken = await place.app.push_screen_wait(Choose(title, choices, words=words))
    if not taken:
        return False
    cycle = cycles[int(taken[0])]
    done = await place.write(
        lambda desk: start_load(desk, names, cycle.method, cycle.celsius, cycle.minutes)
    )
    return done is not None


async def unload_them(place: Place, load_ids: Sequence[str]) -> None:
    """Ask of each load what its indicator shows, then take it out."""
    from consumables.desk.sterilising import unload

    for load_id in load_ids:
        shown = [
            Choice("changed", "changed: sterile, ready in the pouches"),
            Choice("not-changed", "not changed: everything back to the wash"),
        ]
        title = f"What does the indicator of {load_id} show?"
        taken = await place.app.push_screen_wait(Choose(title, shown))
        if not taken:
            return
        await place.write(partial(unload, load_id=load_id, indicator=taken[0]))


async def spore_test(place: Place) -> None:
    """A test that ran now, or the result of one that is waited for."""
    from consumables.desk.spore_tests import read_spore_test, spore_tests, take_spore_test

    tests = await place.look(spore_tests)
    if tests is None:
        return
    choices = [*_results(tests), Choice(TAKEN, TAKEN, "its result comes later")]
    taken = await place.app.push_screen_wait(Choose("Spore test of the steriliser", choices))
    if not taken:
        return
    test_id, _, result = taken[0].partition(" ")
    if taken[0] == TAKEN:
        await place.write(take_spore_test)
    else:
        await place.write(lambda desk: read_spore_test(desk, test_id, result))


def _results(tests: Sequence[SporeTest]) -> list[Choice]:
    waiting = [test.test_id for test in tests if test.result == "pending"]
    return [Choice(f"{t} {r}", f"{t} {r}") for t in waiting for r in ("passed", "failed")]
