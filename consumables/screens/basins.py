"""The foot-basin log at the sink: which basin, which cleaning, how long."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form

if TYPE_CHECKING:
    from consumables.desk.opening import Desk

WHEN = {
    "after-client": "after a client",
    "end-of-day": "end of the day",
    "weekly": "the weekly cleaning",
}


async def log_a_basin(place: Place) -> None:
    """Ask for the moment, the basin and the minutes; the initials are those at the desk."""
    from consumables.desk.basins import asked_minutes, basin_log, cautions, log_basin
    from consumables.screens.jars import concentrates

    products = await place.look(concentrates)
    before = await place.look(basin_log)
    if not products or before is None:
        place.notify("No item in the catalogue has a wet time on its label.")
        return
    moments = [Choice(key, words) for key, words in WHEN.items()]
    moment = await place.app.push_screen_wait(Choose("Foot basin: which cleaning?", moments))
    product = await _product(place, products) if moment else ""
    if not moment or not product:
        return

    def asked(desk: Desk) -> int:
        return asked_minutes(desk, product)

    minutes = await place.look(asked)
    fields = (
        Field("basin", "Basin", value=before[0].basin if before else "", hint="left, 1 ..."),
        Field("minutes", "Minutes it stood or ran", "whole", str(minutes or "")),
    )
    form = Form("Foot basin", fields, "\n".join(cautions()), yes="sign it")
    told = await place.app.push_screen_wait(form)
    if told is not None:
        basin, ran = told["basin"], int(told["minutes"])
        await place.write(lambda desk: log_basin(desk, basin, moment[0], product, ran))


async def _product(place: Place, products: list[Choice]) -> str:
    if len(products) == 1:
        return products[0].key
    taken = await place.app.push_screen_wait(Choose("With which disinfectant?", products))
    return taken[0] if taken else ""
