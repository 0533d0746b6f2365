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
AS_LABELLED = "from the label: 64, or 2 us_fl_oz per us_gal"


async def mix_a_jar(place: Place, last: Jar | None) -> None:
    """Ask for the concentrate, the volume and the strength; `last` gives the usual strength."""
    products = await place.look(concentrates)
    if not products:
        place.notify("No item in the catalogue has a wet time on its label.")
        return
    await _mix(place, products, last, "Mix a jar", "disinfect")


async def mix_the_ultrasonic(place: Place, last: Jar | None) -> None:
    """Ask the same for the ultrasonic bath, which is changed daily."""
    products = await place.look(_poured) or []
    await _mix(place, products, last, "Mix the ultrasonic bath", "ultrasonic")


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


def concentrates(desk: Desk) -> list[Choice]:
    """What may be mixed to disinfect: items in ml with a wet time on their label."""
    found = [i for i in desk.items.values() if i.contact_minutes is not None and i.unit == "ml"]
    return [Choice(i.item_id, i.name, f"{i.contact_minutes} min on the label") for i in found]


async def _mix(
    place: Place, products: Sequence[Choice], last: Jar | None, title: str, purpose: str
) -> None:
    from consumables.desk.jars import cautions, mix_from_label

    product = products[0].key if len(products) == 1 else ""
    if not product:
        taken = await place.app.push_screen_wait(Choose(f"{title}: with what?", products))
        product = taken[0] if taken else ""
    if not product:
        return
    fields = (
        Field("total", "How much in all (ml)?", hint="1000, or 1 us_gal"),
        Field("water", "Parts of water to one part", value=_usual(last), hint=AS_LABELLED),
    )
    form = Form(title, fields, "\n".join(cautions()), yes="mix it")
    told = await place.app.push_screen_wait(form)
    if told is not None:
        total, strength = told["total"], told["water"]
        await place.write(
            lambda desk: mix_from_label(desk, product, total, strength, purpose=purpose)
        )


def _usual(last: Jar | None) -> str:
    return (last.label or f"{last.parts_water:g}") if last is not None else ""


def _poured(desk: Desk) -> list[Choice]:
    return [Choice(i.item_id, i.name) for i in desk.items.values() if i.unit == "ml"]
