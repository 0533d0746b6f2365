"""Exact bounds and chances, against printed tables and an independent library."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from consumables.reports.bounds import (
    chance_in_part,
    chance_of_finds,
    chance_of_share,
    chance_of_short,
    holm,
    looked_at_together,
    mean_bounds,
    rate_bounds,
)

PRINTED = json.loads(
    (Path(__file__).parents[1] / "reference" / "exact_bounds.json").read_text(encoding="utf-8")
)
some_cards = st.integers(1, 3000).flatmap(
    lambda cards: st.tuples(st.integers(0, min(cards, 60)), st.just(cards))
)
rates = st.floats(1e-4, 0.9)


@pytest.mark.parametrize("row", PRINTED["rates"])
def test_bounds_on_a_share_are_those_of_the_handbook(row: dict[str, float]) -> None:
    found = rate_bounds(int(row["short"]), int(row["cards"]), row["certainty"])
    assert (found.low, found.high) == pytest.approx((row["low"], row["high"]), abs=5e-5)


@pytest.mark.parametrize("row", PRINTED["means"])
def test_bounds_on_a_mean_are_those_of_the_tables(row: dict[str, float]) -> None:
    found = mean_bounds(int(row["finds"]), row["certainty"])
    assert (found.low, found.high) == pytest.approx((row["low"], row["high"]), abs=6e-3)


@given(some_cards)
def test_bounds_on_a_share_agree_with_the_beta_quantiles(short_cards: tuple[int, int]) -> None:
    # Clopper & Pearson 1934 by way of the beta distribution, as scipy has it.
    short, cards = short_cards
    found = rate_bounds(short, cards)
    low = stats.beta.ppf(0.025, short, cards - short + 1) if short else 0.0
    high = stats.beta.ppf(0.975, short + 1, cards - short) if short < cards else 1.0
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-8)


@given(st.integers(0, 500))
def test_bounds_on_a_mean_agree_with_the_chi_square_quantiles(finds: int) -> None:
    found = mean_bounds(finds)
    low = stats.chi2.ppf(0.025, 2 * finds) / 2 if finds else 0.0
    high = stats.chi2.ppf(0.975, 2 * finds + 2) / 2
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)


@given(some_cards, rates)
def test_the_chance_of_short_cards_is_the_binomial_tail(
    short_cards: tuple[int, int], rate: float
) -> None:
    short, cards = short_cards
    wanted = stats.binom.sf(short - 1, cards, rate)
    assert chance_of_short(short, cards, rate) == pytest.approx(wanted, rel=1e-8, abs=1e-290)


@given(st.integers(0, 300), st.floats(1e-3, 500))
def test_the_chance_of_finds_is_the_poisson_tail(finds: int, mean: float) -> None:
    wanted = stats.poisson.sf(finds - 1, mean)
    assert chance_of_finds(finds, mean) == pytest.approx(wanted, rel=1e-9, abs=1e-290)


@given(st.data())
def test_a_part_against_the_rest_is_the_hypergeometric_tail(data: st.DataObject) -> None:
    in_all = data.draw(st.integers(1, 4000))
    short_in_all = data.draw(st.integers(0, min(in_all, 80)))
    cards = data.draw(st.integers(0, in_all))
    short = data.draw(st.integers(0, min(cards, short_in_all)))
    found = chance_in_part(short, cards, short_in_all, in_all)
    wanted = stats.hypergeom.sf(short - 1, in_all, short_in_all, cards)
    assert found == pytest.approx(wanted, rel=1e-8, abs=1e-250)


def test_the_lady_who_names_all_four_cups_does_so_blindly_once_in_seventy() -> None:
    # Fisher 1935, eight cups, four of each (from memory).
    assert chance_in_part(4, 4, 4, 8) == pytest.approx(1 / 70)


def test_two_counts_are_compared_given_their_sum() -> None:
    # Przyborowski & Wilenski 1940: given the sum, a count is binomial with its share of the use.
    wanted = stats.binomtest(9, 12, 0.5, alternative="greater").pvalue
    assert chance_of_share(9, 12, 0.5) == pytest.approx(wanted)


def test_holm_makes_each_chance_as_large_as_the_printed_example_does() -> None:
    assert holm(PRINTED["holm"]["chances"]) == pytest.approx(PRINTED["holm"]["larger"])


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_looking_at_many_rows_never_makes_a_chance_smaller(chances: list[float]) -> None:
    for before, after in zip(chances, holm(chances), strict=True):
        assert before <= after <= min(1.0, len(chances) * before) or after == 1.0 or before == after
        assert after >= min(1.0, before)


def test_one_row_alone_is_looked_at_as_it_is() -> None:
    assert looked_at_together([0.03], [1.0]) == ((0.03,), (1.0,))


def test_no_card_at_all_tells_nothing() -> None:
    assert (rate_bounds(0, 0).low, rate_bounds(0, 0).high) == (0.0, 1.0)
    assert chance_of_short(0, 0, 0.01) == 1.0
    assert chance_of_short(1, 0, 0.01) == 0.0
    assert chance_of_finds(1, 0.0) == 0.0
    assert chance_in_part(0, 0, 0, 0) == 1.0
