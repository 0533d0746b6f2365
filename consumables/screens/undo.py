"""Undoing the last job after a clear account of it, and saying who is at the desk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.question import Confirm
from consumables.screens.widgets.told import Told

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.screens.place import Place


async def ask_to_undo(place: Place) -> None:
    """Tell what would be undone, ask, and undo it by a further entry."""
    from consumables.desk.undoing import undo

    found = await place.look(_last)
    if found is None:
        return
    if not found:
        place.tell(Told.problem("There is no job to undo."))
        return
    ((key, at, who, sentence, closes),) = found
    signed = f", signed {who}" if who else ""
    words = (
        f"{sentence}\n\nDone {at:%a %d %b at %H:%M}{signed}.\n\n"
        "Everything this job wrote is reversed by a further entry; nothing is rubbed out. "
        "What really lies in the bin stays there."
    )
    if closes:
        not_used = await _were_they_touched(place, words)
    else:
        yes = await place.app.push_screen_wait(Confirm("Undo the last job?", words, "undo it"))
        not_used = False if yes else None
    if not_used is not None:
        await place.write(lambda desk: undo(desk, key, not_used=not_used))


async def _were_they_touched(place: Place, words: str) -> bool | None:
    """What a card drew stays out unless this visit did not touch it; None: leave it closed."""
    choices = [
        Choice("stay", "They may have been touched: they stay out, tools go to the wash"),
        Choice("back", "This visit did not use them: put everything back"),
    ]
    chosen = await place.app.push_screen_wait(Choose(f"Undo the last job? {words}", choices))
    return chosen[0] == "back" if chosen else None


async def ask_who(place: Place) -> None:
    """Choose whose initials the next jobs carry."""
    known = await place.look(lambda desk: list(desk.settings.technicians))
    if known is None:
        return
    who = await (_choose_initials(place, known) if known else _type_initials(place))
    if who:
        place.shop.line.sign(who)
        place.tell(Told(f"{who} signs from now on."))
        place.ask_again()


async def _choose_initials(place: Place, known: Sequence[str]) -> str:
    now = place.shop.line.who or "nobody"
    choices = [Choice(name, name) for name in known]
    chosen = await place.app.push_screen_wait(Choose(f"Who is at the desk? (now {now})", choices))
    return chosen[0] if chosen else ""


async def _type_initials(place: Place) -> str:
    told = await place.app.push_screen_wait(
        Form("Who is at the desk?", [Field("who", "Initials")], yes="sign")
    )
    return told["who"] if told else ""


def _last(desk: Desk) -> list[tuple[str, datetime, str, str, bool]]:
    from consumables.desk.undoing import last_job

    job = last_job(desk)
    if job is None:
        return []
    at = job.at.astimezone(desk.zone)
    return [(job.job_key, at, job.who, job.sentence, job.verb == "close")]
