"""How the desk reads a phrase: small letters, singular words, the longest known phrase first."""

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

_WORD = re.compile(r"[^\W_]+")
_STOPS = str.maketrans(";()", ",,,")


class Found(NamedTuple):
    """A known phrase in a list of words: where it starts, how many words it has, the phrase."""

    start: int
    length: int
    phrase: str

    @property
    def end(self) -> int:
        """Index of the word after the phrase."""
        return self.start + self.length


def plain_words(text: str) -> list[str]:
    """Words of a text in small letters and in the singular; hyphens and signs separate words."""
    return [_singular(word) for word in _WORD.findall(text.lower())]


def plain(text: str) -> str:
    """A text in the form in which phrases are compared."""
    return " ".join(plain_words(text))


def listed(text: str) -> list[str]:
    """The phrases of a comma-separated list."""
    return text.split(", ")


def phrases_in(words: list[str], known: Collection[str], longest: int = 4) -> Iterator[Found]:
    """Known phrases of up to `longest` words, from left to right, never overlapping."""
    at = 0
    while at < len(words):
        found = _longest_at(words, at, known, longest)
        if found:
            yield found
        at = found.end if found else at + 1


def stretches(text: str) -> list[str]:
    """The stretches of a text between commas, semicolons and brackets, in small letters."""
    return text.lower().translate(_STOPS).split(",")


def until(text: str, words: Collection[str]) -> str:
    """A stretch of text up to the first of the given words, which must stand by itself."""
    said = text.split()
    ends = [at for at, word in enumerate(said) if word in words]
    return " ".join(said[: ends[0]] if ends else said)


def _longest_at(words: list[str], at: int, known: Collection[str], longest: int) -> Found | None:
    for length in range(min(longest, len(words) - at), 0, -1):
        phrase = " ".join(words[at : at + length])
        if phrase in known:
            return Found(at, length, phrase)
    return None


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
