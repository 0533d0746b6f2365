"""When a kept thing has served its time: by its count of uses, or by what an inspection shows.

A count is a stock figure and no proof that a tool is safe: inspect before each use.
"""

from dataclasses import dataclass

from consumables.items.general_order import Finding, findings
from consumables.items.rulebook import Citation
from consumables.items.wording import stretches, until

_DENIALS = frozenset({"no", "not", "without", "never"})


@dataclass(frozen=True)
class Inspection:
    """What follows from what was seen on a piece; `sentence` says it with its reason."""

    retire: bool
    reprocess: bool
    sentence: str
    cites: tuple[Citation, ...] = ()


def past_limit(uses: int, max_uses: int | None) -> bool:
    """Whether a piece has been used as often as its maker or the shop allows; no limit: never."""
    return max_uses is not None and uses >= max_uses


def wear_words(uses: int, max_uses: int | None) -> str:
    """The use count in words: "12 uses, no limit set", "3 of 20 uses", "20 of 20 uses: retire"."""
    if max_uses is None:
        return f"{uses} {'use' if uses == 1 else 'uses'}, no limit set"
    return f"{uses} of {max_uses} uses" + (": retire" if past_limit(uses, max_uses) else "")


def after_inspection(seen: str) -> Inspection:
    """What follows from a few words on what was seen ("varnish is peeling", "pouch torn")."""
    told = " ".join(until(stretch, _DENIALS) for stretch in stretches(seen)).split()
    found = [one for one in findings() if _all_told(one, told)]
    cites = tuple(cite for one in found for cite in one.step.cites)
    sentence = " ".join(f"{one.then.capitalize()}: {one.step.because}" for one in found)
    return Inspection(
        retire=any(one.then == "retire" for one in found),
        reprocess=any(one.then == "reprocess" for one in found),
        sentence=sentence or "Nothing in these words asks for more than the usual wash.",
        cites=cites,
    )


def _all_told(finding: Finding, told: list[str]) -> bool:
    return all(any(word.startswith(begin) for word in told) for begin in finding.words)
