"""A line in the shop's own calendar stands for services because certain words stand in it."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from consumables.items.catalogue import CalendarWord
from consumables.ledger.appointments import Appointment


@dataclass(frozen=True)
class CalendarRead:
    """What a book of appointments held.

    `warnings` name events by their time only. `unmapped` holds the shortened titles of events
    that no calendar word matched: to be shown to their owner, never stored.
    """

    appointments: tuple[Appointment, ...]  # by start
    warnings: tuple[str, ...] = ()
    unmapped: tuple[str, ...] = ()


def services_in(summary: str, words: Sequence[CalendarWord]) -> tuple[str, ...]:
    """The services a summary stands for, in the sequence of its words.

    Whole words, whatever the letter case; a longer calendar word takes its place in the summary
    before a shorter one may ("gel removal" is not also "gel").
    """
    left = _folded(summary)
    found: dict[int, str] = {}
    for word in sorted(words, key=lambda w: len(_folded(w.word)), reverse=True):
        for match in list(_whole(_folded(word.word)).finditer(left)):
            found[match.start()] = word.service_id
            left = left[: match.start()] + "\0" * len(match[0]) + left[match.end() :]
    return tuple(dict.fromkeys(found[place] for place in sorted(found)))


def shortened(summary: str) -> str:
    """At most 24 printable characters of a summary."""
    plain = "".join(c if c.isprintable() else " " for c in summary).strip()
    return plain if len(plain) <= 24 else plain[:23] + "…"


def _whole(word: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(word)}(?!\w)") if word else re.compile(r"(?!)")


def _folded(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
