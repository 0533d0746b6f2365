"""What a material word means: which family it belongs to, and whether liquid can get into it."""

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from consumables.items.shelf_data import word_list
from consumables.items.wording import listed, phrases_in, plain_words

UNKNOWN = "unknown"  # stands among the families when a word is in no list


class Material(NamedTuple):
    """A material text, understood: families in the sequence named, and what they say together.

    `porous` is None when the words do not settle it; `unread` are the words found in no list.
    """

    text: str
    families: tuple[str, ...]
    porous: bool | None
    unread: tuple[str, ...]
    sources: tuple[str, ...]


@cache
def material(text: str) -> Material:
    """Read a material text such as "abrasive on foam"; one porous word makes the whole porous."""
    words = plain_words(text)
    found = list(phrases_in(words, _family_by_word()))
    read = {at for one in found for at in range(one.start, one.end)}
    unread = tuple(w for at, w in enumerate(words) if at not in read and not _harmless(w))
    families = tuple(dict.fromkeys(_family_by_word()[one.phrase] for one in found))
    named = families + ((UNKNOWN,) if unread or not families else ())
    sources = tuple(dict.fromkeys(_families()[family]["source"] for family in families))
    return Material(text, named, _porous_together(named), unread, sources)


def families() -> frozenset[str]:
    """Every family a rule book may name."""
    return frozenset(_families())


def is_porous(family: str) -> bool | None:
    """What the material list says of a family; None: its name alone does not settle it."""
    answer: bool | None = _families()[family].get("porous")
    return answer


def material_words() -> Mapping[str, str]:
    """Every listed material word with its family."""
    return _family_by_word()


def _porous_together(named: tuple[str, ...]) -> bool | None:
    answers = {_families().get(family, {}).get("porous") for family in named}
    if True in answers:
        return True
    return None if None in answers else False


def _harmless(word: str) -> bool:
    return any(sign.isdigit() for sign in word) or word in _beside()


@cache
def _families() -> dict[str, dict[str, Any]]:
    return {name: table for name, table in word_list("materials").items() if name != "words"}


@cache
def _family_by_word() -> dict[str, str]:
    return {
        word: family for family, table in _families().items() for word in listed(table["words"])
    }


@cache
def _beside() -> frozenset[str]:
    return frozenset(listed(word_list("materials")["words"]["beside"]))
