"""Looser than the book: only on a citation, signed, and with what it means said beforehand."""

from __future__ import annotations

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form
from consumables.words import Route

KEPT = (Route.IMMERSE, Route.WIPE, Route.SPRAY, Route.LAUNDER, Route.STERILISE)


async def ask_to_loosen(place: Place, item_id: str, name: str) -> None:
    """Ask how the item would be treated, why, and where that is allowed; then write it down."""
    from consumables.desk.loosening import cautions, loosen

    routes = [Choice(str(route), str(route)) for route in KEPT]
    route = await place.app.push_screen_wait(Choose(f"{name}: treated how, if kept?", routes))
    if not route:
        return
    fields = (
        Field("because", "Why may this shop be looser?"),
        Field("citation", "Where is it allowed?", hint="section, letter, date"),
    )
    form = Form(f"{name}: looser than the book", fields, " ".join(cautions()), yes="sign it")
    told = await place.app.push_screen_wait(form)
    if told is not None:
        because, citation = told["because"], told["citation"]
        await place.write(lambda desk: loosen(desk, item_id, Route(route[0]), because, citation))


async def ask_back_to_the_book(place: Place, item_id: str, name: str) -> None:
    """The shop's own answer ends; asks why."""
    from consumables.desk.loosening import back_to_the_book

    form = Form(f"{name}: back to the book", [Field("why", "Because")], yes="to the book")
    told = await place.app.push_screen_wait(form)
    if told is not None:
        await place.write(lambda desk: back_to_the_book(desk, item_id, told["why"]))
