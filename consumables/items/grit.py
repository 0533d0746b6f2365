"""Grit: the number on a face, which means a size only on a stated scale.

Two faces of one item were printed by one maker and may be told apart; numbers of two scales, or of
a scale nobody stated, are never compared: above 220 the same number is coarser on P than on CAMI.
Sizes are in micrometres, from rulebooks/abrasives.toml (ISO 6344; CAMI, ANSI B74.18).
"""

from functools import cache
from typing import Any, NamedTuple

from consumables.errors import Refused
from consumables.items.item import Item
from consumables.items.shelf_data import word_list
from consumables.items.trade_words import known_kind
from consumables.items.wording import listed
from consumables.words import Confidence, Grading


class Grit(NamedTuple):
    """One face: its number and the scale it is stated on."""

    number: int
    grading: Grading


class Size(NamedTuple):
    """Particle size in micrometres; the two differ where sources give a range."""

    finest: float
    coarsest: float
    confidence: Confidence


def faces(item: Item) -> tuple[Grit, ...]:
    """The faces of one item, as printed: 100/180 is one item with two."""
    return tuple(Grit(number, item.grading) for number in item.grits)


def size_of(grit: Grit) -> Size | None:
    """Micrometres of a face; None where no scale is stated or the scale's table has no such number.

    Source: rules for abrasives in rulebooks/abrasives.toml, each scale with its own.
    """
    if grit.grading is Grading.UNSTATED:
        return None
    table = _scale(grit.grading)
    sizes = table["micrometres"].get(str(grit.number))
    if sizes is None:
        return None
    recalled = grit.number in table["from_memory"]
    return Size(sizes[0], sizes[-1], Confidence.MEMORY if recalled else Confidence.FOUND)


def coarser(one: Grit, other: Grit) -> bool:
    """Whether one face is coarser than another on the same stated scale.

    Refused across scales and where no scale is stated.
    """
    for grit in (one, other):
        if grit.grading is Grading.UNSTATED:
            raise Refused(
                f"Grit {grit.number} has no stated scale; look on the pack for P or CAMI before "
                "comparing it."
            )
    if one.grading is not other.grading:
        raise Refused(
            f"{words_for(one)} and {words_for(other)} stand on two scales and are not compared; "
            "find both on one scale."
        )
    return one.number < other.number


def words_for(grit: Grit) -> str:
    """A face in words: "P 180" or "grit 180, scale unstated"."""
    if grit.grading is Grading.UNSTATED:
        return f"grit {grit.number}, scale unstated"
    return f"{grit.grading} {grit.number}"


def size_words(grit: Grit) -> str:
    """A face with its size, where its scale has one: "P 180, about 82 micrometres"."""
    size = size_of(grit)
    if size is None:
        return words_for(grit)
    about = f"{size.finest:g}" + (f"-{size.coarsest:g}" if size.coarsest > size.finest else "")
    memory = " (from memory)" if size.confidence is Confidence.MEMORY else ""
    return f"{words_for(grit)}, about {about} micrometres{memory}"


def beyond_the_standard(grit: Grit) -> bool:
    """Whether the number is finer than anything the standard of its scale defines."""
    return grit.grading is Grading.CAMI and grit.number > max(_within(Grading.CAMI))


def coarse_face_caution(item: Item) -> str:
    """A caution where a face is coarser than is usual on a natural nail, else an empty text.

    Up to 220 the two scales give a number the same rank, so this holds without a stated scale.
    Source: common practice, no standard (180 to 240 on a natural nail).
    """
    usual = word_list("abrasives")["natural_nail"]
    kind = known_kind(item.kind or item.name)
    coarse = list(dict.fromkeys(n for n in item.grits if n < usual["coarsest"]))
    if not coarse or kind not in listed(usual["kinds"]):
        return ""
    said = " and ".join(map(str, coarse)) + (" are" if len(coarse) > 1 else " is")
    return (
        f"Grit {said} coarser than is usual on a natural nail ({usual['coarsest']} to "
        f"{usual['finest']}; common practice, not a standard): keep it for product, and off the "
        "natural nail."
    )


@cache
def _within(grading: Grading) -> frozenset[int]:
    """Numbers that the scale's own standard defines."""
    table = _scale(grading)
    return frozenset(map(int, table["micrometres"])) - set(table.get("beyond_the_standard", ()))


def _scale(grading: Grading) -> dict[str, Any]:
    table: dict[str, Any] = word_list("abrasives")[grading]
    return table
