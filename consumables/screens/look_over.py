"""Looking pieces over: one key says that nothing was found, a defect is taken from a list."""

from __future__ import annotations

from collections.abc import Sequence

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose

NOTHING = "nothing found"
WORDS = "Rust, pits, a bent tip retire a piece; a torn, wet or opened pouch sends it back."


async def look_them_over(place: Place, names: Sequence[str]) -> None:
    """Ask what is seen on the pieces; a defect is told of one piece at a time."""
    from consumables.desk.inspecting import FINDINGS, look_over

    if not names:
        return
    found = [NOTHING, *FINDINGS] if len(names) == 1 else [NOTHING]
    choices = [Choice(one, one) for one in found]
    title = f"What do you see on {', '.join(names)}?"
    alone = len(names) == 1
    words = WORDS if alone else "Mark one piece alone to say what is wrong with it."
    taken = await place.app.push_screen_wait(Choose(title, choices, own_words=alone, words=words))
    if taken:
        seen = "" if taken[0] == NOTHING else taken[0]
        await place.write(lambda desk: look_over(desk, names, seen))
