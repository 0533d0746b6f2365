"""Mixing and emptying a jar: asked for step by step, with the cautions beside."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from consumables.screens.place import Place
from consumables.screens.wash_up_words import jar_words
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form

if TYPE_CHECKING:
    from consumables.desk.jars import Jar
    from consumables.desk.opening import Desk

EMPTIED = ("its time is up", "cloudy", "spilt")


async def mix_a_jar(place: Place, last: Jar | None) -> None:
    """Ask for the concentrate, the volume and the strength; `last` gives the usual strength."""
    from consumables.desk.jars import CAUTIONS, mix_jar

    products = await place.look(_concentrates)
    if not products:
        place.notify("No item in the catalogue has a wet time on its label.")
        return
    product = products[0].key
    if len(products) > 1:
        taken = await place.app.push_screen_wait(Choose("Which concentrate?", products))
        product = taken[0] if taken else ""
    fields = (
        Field("total", "How much in all (ml)?", "whole", hint="for example 1000"),
        Field("water", "Parts of water to one part", "whole", _usual(last), "as on the label"),
    )
    if not product:
        return
    form = Form("Mix a jar", fields, "\n".join(CAUTIONS), yes="mix it")
    told = await place.app.push_screen_wait(form)
    if told is not None:
        total, water = int(told["total"]), int(told["water"])
        await place.write(lambda desk: mix_jar(desk, product, total, water))


async def empty_a_jar(place: Place, jars: Sequence[Jar]) -> None:
    """Ask which jar and why."""
    from consumables.desk.jars import empty_jar

    if not jars:
        place.notify("No jar is in use.")
        return
    choices = [Choice(jar.jar_id, jar_words(jar)) for jar in jars]
    jar = await place.app.push_screen_wait(Choose("Empty which jar?", choices))
    if not jar:
        return
    reasons = [Choice(why, why) for why in EMPTIED]
    why = await place.app.push_screen_wait(Choose("Why?", reasons, own_words=True))
    if why:
        await place.write(lambda desk: empty_jar(desk, jar[0], why[0]))


def _usual(last: Jar | None) -> str:
    return str(last.parts_water) if last is not None else ""


def _concentrates(desk: Desk) -> list[Choice]:
    found = [i for i in desk.items.values() if i.contact_minutes is not None and i.unit == "ml"]
    return [Choice(i.item_id, i.name, f"{i.contact_minutes} min on the label") for i in found]
