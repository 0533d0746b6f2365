"""What can hurt somebody, said where the work is done and never in a corner."""

from collections.abc import Iterable

from consumables.items.item import Item
from consumables.items.shelf_data import word_list

MOMENTS = ("contamination", "mixing", "washing", "blades", "dust", "loosening", "keeping")


def cautions_at(moment: str) -> tuple[str, ...]:
    """The cautions of one moment of the work, and what stands above this tool."""
    told = word_list("cautions")
    said = [one["says"] for one in told["cautions"] if one["at"] == moment]
    return (*said, told["always"]) if said else ()


def cautions_for(items: Iterable[Item]) -> tuple[str, ...]:
    """The cautions that the things on a card call for: dust where something is filed, blades."""
    here = list(items)
    kinds = {item.kind for item in here}
    sharp = any(item.sharp for item in here)
    told = word_list("cautions")["cautions"]
    return tuple(
        one["says"]
        for one in told
        if kinds & set(one.get("kinds", ())) or (sharp and one["at"] == "blades")
    )
