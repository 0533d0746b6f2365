"""Demand of booked visits, visits not booked yet and loose use, exactly."""

import numpy as np
import pytest

from consumables.reorder.chances import compound_poisson_pmf, moments
from consumables.reorder.demand import demand_pmf, mean_and_variance, spell_pmf

ONE = np.array([0])


def _pmf(forecast, days, size=64):
    return demand_pmf(forecast, ONE, np.array([[days]]), size)[0, 0]


def test_book_and_walk_ins_match_every_book_record(book_demand_record, pmf, forecast_of):
    inputs, told = book_demand_record["inputs"], book_demand_record["expected"]
    forecast = forecast_of(
        pmf(inputs["units_per_service_pmf"]),
        booked={3: inputs["booked_appointments"]},
        show=inputs["show_probability"],
        daily=inputs["unbooked_poisson_mean"] / 7,
    )
    found = _pmf(forecast, 7)
    mean, square = moments(found)
    assert mean == pytest.approx(told["mean"], abs=1e-6)
    assert square - mean**2 == pytest.approx(told["variance"], abs=1e-5)
    assert found[0] == pytest.approx(told["p0"], abs=1e-8)
    assert int(np.searchsorted(np.cumsum(found), 0.95)) == told["q95"]
    assert int(np.searchsorted(np.cumsum(found), 0.99)) == told["q99"]


def test_a_certain_visit_in_the_book_is_certain_use(forecast_of):
    found = _pmf(forecast_of(np.array([0.0, 0.0, 1.0]), booked={2: 3}), 3)
    assert found[6] == pytest.approx(1.0, abs=1e-8)


def test_a_visit_after_the_horizon_does_not_count(forecast_of):
    assert _pmf(forecast_of(np.array([0.0, 1.0]), booked={5: 1}), 5)[0] == pytest.approx(1)


def test_doubt_about_the_weekly_rate_is_a_gamma(forecast_of):
    nbinom = pytest.importorskip("scipy.stats").nbinom
    forecast = forecast_of(np.array([0.0, 1.0]), daily=0.5, doubt=0.4)
    shape = 1 / 0.4**2
    wanted = nbinom.pmf(np.arange(64), shape, shape / (shape + 5))
    assert _pmf(forecast, 10) == pytest.approx(wanted, abs=1e-8)


def test_loose_use_adds_to_the_visits(forecast_of):
    use = np.array([0.0, 0.0, 1.0])
    found = _pmf(forecast_of(use, daily=0.3, loose_daily=0.2), 10)
    visits = compound_poisson_pmf(3.0, use, 64)
    loose = compound_poisson_pmf(2.0, np.array([0.0, 1.0]), 64)
    assert found == pytest.approx(np.convolve(visits, loose)[:64], abs=1e-8)


def test_a_visit_at_even_odds_makes_no_zero_of_the_product(forecast_of):
    # 1 - q + q z is exactly 0 at z = -1 for q = 1/2: the factor that has to be divided out later
    found = _pmf(forecast_of(np.array([0.0, 1.0]), booked={0: 1}, show=0.5), 1)
    assert found[:2] == pytest.approx([0.5, 0.5], abs=1e-8)


def test_the_book_agrees_with_shops_played_through_at_random(forecast_of):
    rng = np.random.default_rng(7)
    use = np.array([0.1, 0.5, 0.3, 0.1])
    forecast = forecast_of(use, booked={1: 2, 4: 3}, show=0.8, daily=0.6, doubt=0.5)
    shops, shape = 200_000, 4.0
    many = rng.binomial(5, 0.8, shops) + rng.poisson(rng.gamma(shape, 0.6 * 7 / shape, shops))
    drawn = rng.choice(4, (int(many.sum()),), p=use)
    totals = np.bincount(np.repeat(np.arange(shops), many), drawn, shops).astype(int)
    played = np.bincount(totals, minlength=64)[:64] / shops
    assert _pmf(forecast, 7) == pytest.approx(played, abs=0.005)


def test_mean_and_variance_are_those_of_the_pmf(forecast_of):
    forecast = forecast_of(
        np.array([0.1, 0.5, 0.4]), booked={2: 4}, show=0.7, daily=0.8, doubt=0.3, loose_daily=0.1
    )
    mean, variance = mean_and_variance(forecast, ONE, np.array([[0]]), np.array([[9]]))
    first, square = moments(_pmf(forecast, 9, 512))
    assert mean[0, 0] == pytest.approx(first, rel=1e-6)
    assert variance[0, 0] == pytest.approx(square - first**2, rel=1e-5)


def test_two_spells_of_days_make_the_whole(forecast_of):
    forecast = forecast_of(np.array([0.3, 0.7]), booked={1: 2, 6: 1}, show=0.9, daily=0.4)
    spells = spell_pmf(forecast, ONE, np.array([[0, 4]]), np.array([[4, 10]]), 64)[0]
    assert np.convolve(*spells)[:64] == pytest.approx(_pmf(forecast, 10), abs=1e-7)
