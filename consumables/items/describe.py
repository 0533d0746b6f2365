"""Turns a plain phrase into the facts of an item, and shows which word told what.

It never guesses past what the words say: "nail file 100/180" tells two grits and no material, so
the material stays unknown and is asked.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from consumables.items.item import Item, Part
from consumables.items.materials import material_words
from consumables.items.told import Told, everything_told
from consumables.items.trade_words import TradeWords, name_the_kind, shipped_words
from consumables.items.wording import (
    Found,
    phrases_in,
    plain,
    plain_words,
    stretches,
    until,
)
from consumables.words import Grading

# What follows one of these says nothing of what the thing is made of.
_DENIED = frozenset({"not", "no", "without", "never"})
_ASIDE = _DENIED | {"for", "after", "sold", "used", "marked", "disinfected", "cut"}
_HARD = frozenset({"metal", "hard plastic", "plastic film"})


@dataclass(frozen=True)
class Description:
    """The item as described by a phrase, with the words behind every fact."""

    text: str
    item: Item
    told: tuple[Told, ...]


def describe_text(text: str) -> Description:
    """A description by the word list that comes with the tool, read when first needed."""
    return describe(text, shipped_words())


def describe(text: str, words: TradeWords) -> Description:
    """Facts of an item from a phrase; what the words do not say stays unknown."""
    named = name_the_kind(text, words)
    phrase, kind = named or ("", "")
    said = _said(text, words)
    grits = _grits(text)
    parts = [] if kind in words.groups["dispensed"] else _parts(text, phrase, kind, words)
    parts += _grit_surface(kind, grits, parts, words) + _unnamed_surface(said, parts)
    parts += _unread_coverings(text, words) if parts else []
    if "porous" in said:
        parts = [replace(part, porous=True) for part in parts]
    item = Item(
        item_id=plain(text).replace(" ", "-"),
        name=text.strip(),
        kind=kind,
        parts=tuple(parts),
        immersible=False if "not_immersible" in said else True if "immersible" in said else None,
        dispensed=kind in words.groups["dispensed"],
        launderable=kind in words.groups["launderable"],
        electric=kind in words.groups["electric"] or "electric" in said,
        sharp=kind in words.groups["sharp"],
        do_not_reuse="do_not_reuse" in said,
        label_says_washable="washable" in said,
        grits=grits,
        grading=_grading(text),
    )
    return Description(text, item, tuple(everything_told(item, phrase, said)))


def _said(text: str, words: TradeWords) -> dict[str, str]:
    """What the phrases of the text tell, each with the phrase: {"removable": "peel off"}."""
    return {words.says[one.phrase]: one.phrase for one in phrases_in(plain_words(text), words.says)}


def _parts(text: str, kind_phrase: str, kind: str, words: TradeWords) -> list[Part]:
    """Parts in the sequence named; an item of which no material is named has one unknown body."""
    parts: list[Part] = []
    for segment in _about_materials(text):
        slipped = _slipped_on(segment, kind, words)
        if slipped and not parts:
            parts.append(Part("body", words.made_of.get(kind_phrase, "")))
        part = slipped or _part(segment, words, first=not parts)
        if part and part.material not in {one.material for one in parts if one.material}:
            parts.append(part)
    made_of = words.made_of.get(kind_phrase, "")
    if made_of and not parts:
        parts.append(Part("body", made_of))
    return parts or [Part("body", "")]


def _slipped_on(segment: str, kind: str, words: TradeWords) -> Part | None:
    """What slips onto this kind of thing by its nature: "paper bands" on a mandrel come off."""
    read = plain_words(segment)
    fitting = words.slips_on.get(kind, frozenset())
    told = {words.says[one.phrase] for one in phrases_in(read, words.says)}
    own = any(words.kinds[one.phrase] == kind for one in phrases_in(read, words.kinds))
    if own or "fixed" in told or not any(phrases_in(read, fitting)):
        return None
    return Part("surface", _stuff(read, words), removable=True)


def _about_materials(text: str) -> list[str]:
    """The stretches of text that may name a material, without a grit that is only a number."""
    about = [until(stretch, _ASIDE) for stretch in stretches(text)]
    return [piece for one in about for piece in f" {_without_grit(one)} ".split(" with ")]


def _without_grit(stretch: str) -> str:
    said = stretch.split()
    return " ".join(w for at, w in enumerate(said) if not _is_measure(said, at))


def _is_measure(said: list[str], at: int) -> bool:
    """Whether "grit" only counts here, as in "150 grit" or "grit 150"."""
    beside = said[max(at - 1, 0) : at] + said[at + 1 : at + 2]
    return said[at] == "grit" and any(word.isdigit() for word in beside)


def _part(segment: str, words: TradeWords, first: bool) -> Part | None:
    """The part that one stretch of text speaks of, or None when it names no material."""
    read = plain_words(segment)
    stuff = _stuff(read, words)
    if not stuff:
        return None
    told = {words.says[one.phrase] for one in phrases_in(read, words.says)}
    name = _part_name(read, words, stuff, first, "removable" in told)
    comes_off = "removable" in told and "fixed" not in told and name in ("surface", "liner")
    return Part(name, stuff, removable=comes_off, touches_client=name != "handle")


def _stuff(read: list[str], words: TradeWords) -> str:
    """The material words of a stretch, as one text ("abrasive paper on plastic")."""
    return " + ".join(dict.fromkeys(one for _, one in sorted(_materials(read, words))))


def _materials(read: list[str], words: TradeWords) -> Iterator[tuple[int, str]]:
    nouns = list(phrases_in(read, words.kinds))
    for noun in nouns:
        if noun.phrase in words.made_of:
            yield noun.start, words.made_of[noun.phrase]
    for one in phrases_in(read, material_words()):
        if not any(_inside(one, noun) for noun in nouns):
            yield one.start, one.phrase


def _inside(one: Found, noun: Found) -> bool:
    """A word that is part of a noun is not a material: an acrylic brush is not of acrylic."""
    return noun.start <= one.start and one.end <= noun.end


def _part_name(read: list[str], words: TradeWords, stuff: str, first: bool, removable: bool) -> str:
    named = [words.parts[word] for word in read if word in words.parts]
    if removable and (not first or "abrasive" in stuff or "grit" in stuff):
        return "liner" if "liner" in named else "surface"
    if not named or (first and named[-1] == "surface"):
        rough = "surface" if "abrasive" in stuff or "grit" in stuff else "other part"
        return "body" if first else rough
    return named[-1]


def _grits(text: str) -> tuple[int, ...]:
    """Grits as printed: "100/180" is two faces of one item, "150 grit" and "P150" are one."""
    said = text.lower().replace(" / ", "/").replace("-grit", " grit").replace(",", " ").split()
    for at, word in enumerate(said):
        faces = [face.removeprefix("p") for face in word.split("/")]
        meant = len(faces) > 1 or word.startswith("p") or "grit" in said[max(at - 1, 0) : at + 2]
        if meant and all(
            face.isascii() and face.isdigit() and 2 <= len(face) <= 4 for face in faces
        ):
            return tuple(map(int, faces))
    return ()


def _is_grit(word: str) -> bool:
    return word.isascii() and word.isdigit() and 2 <= len(word) <= 4


def _grading(text: str) -> Grading:
    said = plain_words(text)
    if "cami" in said:
        return Grading.CAMI
    on_p_scale = any(word[0] == "p" and word[1:].isdigit() for word in said)
    return Grading.P if on_p_scale or "fepa" in said else Grading.UNSTATED


def _grit_surface(
    kind: str, grits: tuple[int, ...], parts: list[Part], words: TradeWords
) -> list[Part]:
    """A grit on plain metal or plastic has a surface nobody has described yet: it is asked."""
    plain_hard = all(material_words().get(p, "") in _HARD for q in parts for p in _split(q))
    if kind in words.groups["abrasive"] and grits and parts[0].material and plain_hard:
        return [Part("grit surface", "")]
    return []


def _unnamed_surface(said: dict[str, str], parts: list[Part]) -> list[Part]:
    """A part that is said to come off but not said to be of anything is asked, too."""
    if "removable" in said and parts and not any(part.removable for part in parts):
        return [Part("surface", "", removable=True)]
    return []


def _unread_coverings(text: str, words: TradeWords) -> list[Part]:
    """What something is coated, lined or tipped with, when that word is in no list: it is asked."""
    read = [plain_words(stretch) for stretch in _about_materials(text)]
    pairs = [pair for said in read for pair in pairwise(said)]
    return [
        Part("covering", stuff)
        for stuff, how in pairs
        if how in words.covering and stuff not in material_words()
    ]


def _split(part: Part) -> list[str]:
    return part.material.split(" + ")
