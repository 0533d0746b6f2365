"""What a scan does: it tells, or fills in what is being asked; it never presses a key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, runtime_checkable

from textual.widgets import Input

from consumables.errors import DeskProblem
from consumables.items.scan import GS
from consumables.screens.place import Place, told_problem
from consumables.screens.widgets.told import Told

if TYPE_CHECKING:
    from consumables.desk.scanning import Arrival, PieceSeen
    from consumables.screens.app import ShopApp


@runtime_checkable
class TakesPieces(Protocol):
    """A screen on which a scanned piece has a place of its own, as on a card."""

    def name_scanned(self, piece: PieceSeen) -> None:
        """Put the piece where it belongs."""


@runtime_checkable
class TakesPacks(Protocol):
    """A screen on which a delivered pack is taken in."""

    def take_in_scanned(self, pack: Arrival) -> object:
        """Ask what the label did not say, and take it in."""


@runtime_checkable
class TakesLabels(Protocol):
    """A question that a scanned label answers."""

    async def fill_from(self, text: str) -> None:
        """Fill in what the label says."""


async def scanned(app: ShopApp, text: str) -> None:
    """A scan came in, whatever screen is shown."""
    screen = app.screen
    if isinstance(screen, TakesLabels):
        await screen.fill_from(text)
    elif not isinstance(screen, Place):
        _as_typed(app, text)
    else:
        await _in_a_place(app, screen, text)


async def _in_a_place(app: ShopApp, place: Place, text: str) -> None:
    from consumables.desk.scanning import PieceSeen, seen

    try:
        found = await app.line.look(lambda desk: seen(desk, text))
    except Exception as problem:
        typing = isinstance(app.focused, Input) and isinstance(problem, DeskProblem)
        if typing:
            _as_typed(app, text)
        else:
            place.tell(told_problem(problem))
        return
    if isinstance(found, PieceSeen):
        if isinstance(place, TakesPieces):
            place.name_scanned(found)
        else:
            place.tell(Told.scanned(found.sentence))
    elif isinstance(place, TakesPacks):
        place.take_in_scanned(found)
    else:
        place.tell(Told.scanned(_pack_sentence(found)))


def _as_typed(app: ShopApp, text: str) -> None:
    """Into the field that is being filled in, if any; without its Enter, so nothing is written."""
    if isinstance(app.focused, Input):
        app.focused.insert_text_at_cursor(text.replace(GS, ""))
    else:
        app.bell()
        app.notify("Answer this first, then scan again.", markup=False)


def _pack_sentence(pack: Arrival) -> str:
    lines = [f"{pack.name}: a pack of {pack.pack_size}."]
    lines += [f"Use-by {pack.use_by}."] if pack.use_by else []
    lines += [f"Lot {pack.lot}."] if pack.lot else []
    on_the_way = f"{pack.outstanding} on their way. " if pack.outstanding else ""
    return " ".join([*lines, *pack.doubts, f"{on_the_way}Scan it at the order (4) to take it in."])
