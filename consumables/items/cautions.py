"""What can hurt somebody, said where the work is done and never in a corner."""

from collections.abc import Iterable
from typing import Any

from consumables.items.item import Item
from consumables.items.shelf_data import word_list


def cautions_at(moment: str) -> tuple[str, ...]:
    """The cautions of one moment of the work, and what stands above this tool."""
    told = word_list("cautions")
    said = [one["says"] for one in told["cautions"] if one["at"] == moment]
    return (*said, told["always"]) if said else ()


def cautions_for(items: Iterable[Item], kept: bool = False) -> tuple[str, ...]:
    """The cautions that the things on a card call for: dust where something is filed, blades,
    and a look at every kept tool before it is used."""
    here = list(items)
    kinds = {item.kind for item in here}
    sharp = any(item.sharp for item in here)

    def called_for(one: dict[str, Any]) -> bool:
        filed_or_cut = bool(kinds & set(one.get("kinds", ())))
        return filed_or_cut or (sharp and one["at"] == "blades") or (kept and "kept" in one)

    return tuple(one["says"] for one in word_list("cautions")["cautions"] if called_for(one))
