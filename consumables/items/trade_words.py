"""Which noun of the trade a phrase names: "orangewood sticks, 100" is a wood stick."""

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from consumables.items.shelf_data import word_list
from consumables.items.wording import Found, listed, phrases_in, plain, plain_words, stretches


class TradeWords(NamedTuple):
    """A list of trade words, ready to be looked up."""

    kinds: Mapping[str, str]  # phrase -> the desk's noun
    made_of: Mapping[str, str]  # phrase -> material it names itself
    groups: Mapping[str, frozenset[str]]  # dispensed, electric, launderable, sharp, abrasive
    says: Mapping[str, str]  # phrase -> what it tells
    parts: Mapping[str, str]  # part noun -> the desk's name of that part
    containers: frozenset[str]
    cut: frozenset[str]
    behind: frozenset[str]
    covering: frozenset[str]
    slips_on: Mapping[str, frozenset[str]]  # noun -> what slips onto it and comes off again


def read_words(table: Mapping[str, Any]) -> TradeWords:
    """Trade words from TOML tables laid out like rulebooks/trade_words.toml."""
    skip = table["skip"]
    return TradeWords(
        kinds=_by_phrase(table["kinds"]),
        made_of=_by_phrase(table["made_of"]),
        groups={name: frozenset(listed(kinds)) for name, kinds in table["groups"].items()},
        says=_by_phrase(table["says"]),
        parts=_by_phrase(table["parts"]),
        containers=frozenset(listed(skip["containers"])),
        cut=frozenset(listed(skip["cut"])),
        behind=frozenset(listed(skip["behind"])),
        covering=frozenset(listed(skip["covering"])),
        slips_on={kind: frozenset(listed(said)) for kind, said in table["slips_on"].items()},
    )


def _by_phrase(table: Mapping[str, str]) -> dict[str, str]:
    return {phrase: name for name, phrases in table.items() for phrase in listed(phrases)}


@cache
def shipped_words() -> TradeWords:
    """The word list that comes with the tool, read once."""
    return read_words(word_list("trade_words"))


def kind_of(text: str) -> str:
    """The desk's noun for a phrase, or the phrase itself in plain form when no noun is known."""
    if text in _nouns():
        return text
    named = name_the_kind(text, shipped_words())
    return named[1] if named else plain(text)


def known_kind(text: str) -> str:
    """The desk's noun for a phrase, or an empty text when no noun is known."""
    named = name_the_kind(text, shipped_words())
    return named[1] if named else ""


def in_group(kind: str, group: str) -> bool:
    """Whether a kind belongs to a group: dispensed, electric, launderable, sharp, one_use ..."""
    return kind in shipped_words().groups[group]


@cache
def _nouns() -> frozenset[str]:
    return frozenset(shipped_words().kinds.values())


def name_the_kind(text: str, words: TradeWords) -> tuple[str, str] | None:
    """(phrase, kind) of the head noun: the last noun before a comma, "with", "for" and the like."""
    for segment in stretches(text):
        named = _head_noun(plain_words(segment), words)
        if named:
            return named
    return None


def _head_noun(segment: list[str], words: TradeWords) -> tuple[str, str] | None:
    head = _before_cut(_after_container(segment, words), words)
    found = [one for one in phrases_in(head, words.kinds) if _counts(one, head, words)]
    return (found[-1].phrase, words.kinds[found[-1].phrase]) if found else None


def _after_container(segment: list[str], words: TradeWords) -> list[str]:
    ends = [one.end for one in phrases_in(segment, words.containers)]
    return segment[ends[0] :] if ends else segment


def _before_cut(segment: list[str], words: TradeWords) -> list[str]:
    """The words before the first cutting word that follows a noun ("corn and callus blade")."""
    nouns = [one.start for one in phrases_in(segment, words.kinds)]
    inside = {at for one in phrases_in(segment, words.kinds) for at in range(one.start, one.end)}
    for at, word in enumerate(segment):
        if word in words.cut and at not in inside and nouns and nouns[0] < at:
            return segment[:at]
    return segment


def _counts(found: Found, head: list[str], words: TradeWords) -> bool:
    """A poured thing must be the last noun said: a "polish rack" is not polish."""
    if words.kinds[found.phrase] not in words.groups["dispensed"]:
        return True
    return all(w in words.behind or any(c.isdigit() for c in w) for w in head[found.end :])
