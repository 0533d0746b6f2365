"""Says back what the words of a description told, so that a person can confirm or put it right."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from consumables.items.item import Item, Part
from consumables.items.trade_words import in_group
from consumables.words import Grading


@dataclass(frozen=True)
class Told:
    """One thing that the words said: the words, and what they told."""

    words: str
    says: str


def everything_told(item: Item, phrase: str, said: Mapping[str, str]) -> Iterator[Told]:
    """Each fact with the words behind it, for a person to confirm."""
    if item.kind:
        yield Told(phrase, f"it is {with_article(item.kind)}")
    for part in item.parts:
        if part.material:
            yield Told(part.material, _part_sentence(part))
        elif part.removable and "removable" not in said:
            yield Told(part.name, "a part comes off; what it is made of was not said")
    for fact, words in said.items():
        yield Told(words, _FACTS[fact])
    if item.grits:
        faces = "/".join(map(str, item.grits))
        yield Told(faces, _grit_sentence(item, faces))


def with_article(kind: str) -> str:
    """A noun as a sentence says it: a buffer, an e-file bit, scissors."""
    if in_group(kind, "uncounted"):
        return kind
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _grit_sentence(item: Item, faces: str) -> str:
    """The grit as printed; a pair is two faces of one item."""
    both = f", {len(item.grits)} faces of one item" if len(item.grits) > 1 else ""
    if item.grading is Grading.UNSTATED:
        return f"grit {faces}{both}, scale unstated"
    from consumables.items.grit import faces as read_faces
    from consumables.items.grit import size_words

    return f"grit {faces}{both}: {'; '.join(map(size_words, read_faces(item)))}"


def _part_sentence(part: Part) -> str:
    comes_off = ", which comes off" if part.removable else ""
    return f"what the {part.name} is made of{comes_off}"


_FACTS = {
    "do_not_reuse": "made for one use",
    "washable": "the label calls it washable, which changes nothing for a porous part",
    "porous": "it is porous",
    "not_porous": "it is called not porous, but its material decides",
    "electric": "runs on current",
    "immersible": "may lie in solution",
    "not_immersible": "may not lie in solution",
    "removable": "a part comes off",
    "fixed": "a part does not come off",
}
