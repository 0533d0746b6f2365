"""How sure a few short cards or odd counts can make anyone: exact bounds and chances, no curves.

Sources: Clopper & Pearson 1934 (bounds on a rate), Garwood 1936 (bounds on a mean number),
Fisher 1935 (a part against the rest), Przyborowski & Wilenski 1940 (two numbers of finds),
Holm 1979 (many questions asked at once). Everything is summed term by term from the smaller tail.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import comb, exp, fsum, inf, lgamma, log, log1p

CERTAINTY = 0.95
MISLED = 0.05  # how often a whole list may raise a false alarm


@dataclass(frozen=True)
class Between:
    """What the true value lies between, as sure as was asked for."""

    low: float
    high: float


def rate_bounds(short: int, cards: int, certainty: float = CERTAINTY) -> Between:
    """Two-sided bounds on the share of short cards, from `short` among `cards`.

    Clopper & Pearson 1934; with no card at all the share may be anything.
    """
    tail = (1 - certainty) / 2
    low = _crossing(lambda rate: chance_of_short(short, cards, rate), tail) if short else 0.0
    if short >= cards:
        return Between(low, 1.0)
    return Between(
        low, _crossing(lambda rate: chance_of_short(short + 1, cards, rate), 1 - tail, low)
    )


def mean_bounds(finds: int, certainty: float = CERTAINTY) -> Between:
    """Two-sided bounds on the mean number of finds, from `finds` seen once (Garwood 1936)."""
    tail = (1 - certainty) / 2
    low = _crossing(lambda mean: chance_of_finds(finds, mean), tail, 0.0, inf) if finds else 0.0
    high = _crossing(lambda mean: chance_of_finds(finds + 1, mean), 1 - tail, low, inf)
    return Between(low, high)


def chance_of_short(short: int, cards: int, rate: float) -> float:
    """Chance of `short` or more short cards among `cards`, each short with chance `rate`."""
    if short <= 0 or rate >= 1:
        return 1.0 if short <= cards else 0.0
    if short > cards or rate <= 0:
        return 0.0
    odds = rate / (1 - rate)

    def term(k: int) -> float:
        return exp(log(comb(cards, k)) + k * log(rate) + (cards - k) * log1p(-rate))

    return _upper_tail(
        short,
        (0, cards),
        cards * rate,
        term,
        lambda k: (cards - k) / (k + 1) * odds,
    )


def chance_of_finds(finds: int, mean: float) -> float:
    """Chance of `finds` or more where `mean` are to be expected (Poisson)."""
    if finds <= 0:
        return 1.0
    if mean <= 0:
        return 0.0
    return _upper_tail(
        finds,
        (0, None),
        mean,
        lambda k: exp(k * log(mean) - mean - lgamma(k + 1)),
        lambda k: mean / (k + 1),
    )


def chance_in_part(short: int, cards: int, short_in_all: int, cards_in_all: int) -> float:
    """Chance that a part of `cards` holds `short` or more of all short cards, were they strewn
    blindly (one-sided exact test of Fisher 1935)."""
    least, most = max(0, cards + short_in_all - cards_in_all), min(cards, short_in_all)
    if short <= least:
        return 1.0
    if short > most:
        return 0.0
    rest = cards_in_all - cards
    ways = log(comb(cards_in_all, short_in_all))

    def term(k: int) -> float:
        return exp(log(comb(cards, k)) + log(comb(rest, short_in_all - k)) - ways)

    def ratio(k: int) -> float:
        return (cards - k) * (short_in_all - k) / ((k + 1) * (rest - short_in_all + k + 1))

    return _upper_tail(short, (least, most), cards * short_in_all / cards_in_all, term, ratio)


def chance_of_share(finds: int, finds_in_all: int, share: float) -> float:
    """Chance that `finds` or more of `finds_in_all` fall to one that has this `share` of the use
    (conditional test of Przyborowski & Wilenski 1940)."""
    return chance_of_short(finds, finds_in_all, share)


def holm(chances: Sequence[float]) -> tuple[float, ...]:
    """Each chance made larger for the company it was looked at in, so that of all of them together
    no more than one look in twenty misleads at 0.05 (Holm 1979, step-down)."""
    told = [0.0] * len(chances)
    so_far = 0.0
    for rank, at in enumerate(sorted(range(len(chances)), key=chances.__getitem__)):
        so_far = max(so_far, min(1.0, (len(chances) - rank) * chances[at]))
        told[at] = so_far
    return tuple(told)


def looked_at_together(
    first: Sequence[float], second: Sequence[float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Two questions asked of every row; with one row alone the second is no question."""
    if len(first) < 2:
        return tuple(first), tuple(second)
    larger = holm([*first, *second])
    return larger[: len(first)], larger[len(first) :]


def _upper_tail(
    start: int,
    ends: tuple[int, int | None],
    middle: float,
    term: Callable[[int], float],
    ratio: Callable[[int], float],
) -> float:
    # The tail away from the middle is summed, so that a small chance keeps all its digits.
    if start > middle:
        return min(1.0, fsum(_upwards(start, ends[1], term(start), ratio)))
    return max(0.0, 1 - fsum(_downwards(start - 1, ends[0], term(start - 1), ratio)))


def _upwards(
    k: int, last: int | None, term: float, ratio: Callable[[int], float]
) -> Iterator[float]:
    first = term
    while term > first * 1e-18:
        yield term
        if k == last:
            return
        term, k = term * ratio(k), k + 1


def _downwards(k: int, last: int, term: float, ratio: Callable[[int], float]) -> Iterator[float]:
    first = term
    while term > first * 1e-18:
        yield term
        if k == last:
            return
        term, k = term / ratio(k - 1), k - 1


def _crossing(
    rising: Callable[[float], float], target: float, low: float = 0.0, high: float = 1.0
) -> float:
    """Where a rising function reaches its target, to the last digit a float holds."""
    if high == inf:
        high = max(1.0, 2 * low)
        while rising(high) < target:
            high *= 2
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if rising(middle) < target else (low, middle)
    return high
