"""Service fill of a shelf until the next order can arrive."""

import numpy as np
import pytest

from consumables.reorder.chances import compound_poisson_pmf
from consumables.reorder.levels import fill_rate, smallest_level
from consumables.reorder.protection import Curves, Routes, curves, sizes_needed

UNIT = np.array([0.0, 1.0])


def _curves(forecast, lead, review=7, size=128) -> Curves:
    table = np.zeros((1, max(lead) + 1))
    for day, chance in lead.items():
        table[0, day] = chance
    return curves(forecast, Routes(np.array([0]), table), review, size)


def _served(rng, forecast, use, show, daily, booked, days, position, shops):
    """Share of services served when each day's services come in random sequence."""
    served = asked = 0
    for _ in range(shops):
        left = position
        for day in range(days.stop):
            coming = rng.binomial(booked.get(day, 0), show) + rng.poisson(daily)
            for wanted in rng.choice(len(use), coming, p=use):
                if wanted:
                    asked += day >= days.start
                    served += day >= days.start and left >= wanted
                left -= wanted
    return served / asked


def test_the_service_fill_is_a_floor_and_not_far_below(forecast_of):
    use, booked = np.array([0.1, 0.5, 0.3, 0.1]), {2: 2, 4: 3, 8: 1}
    forecast = forecast_of(use, booked=booked, show=0.85, daily=0.7)
    curve = _curves(forecast, {3: 1.0}).service[0]
    rng = np.random.default_rng(11)
    for position in (12, 18, 24):
        played = _served(rng, forecast, use, 0.85, 0.7, booked, range(3, 10), position, 3000)
        assert curve[position] <= played + 0.01
        assert curve[position + 3] >= played - 0.02


def test_one_certain_visit_is_served_by_what_it_needs(forecast_of):
    curve = _curves(forecast_of(np.array([0.0, 0.0, 1.0]), booked={4: 1}), {2: 1.0})
    assert curve.service[0][:3] == pytest.approx([0, 0, 1], abs=1e-7)
    assert smallest_level(curve.booked, 0.99)[0] == 2


def test_what_comes_before_the_delivery_is_taken_from_the_shelf_first(forecast_of):
    forecast = forecast_of(UNIT, booked={0: 3, 5: 1})
    assert smallest_level(_curves(forecast, {2: 1.0}).service, 0.99)[0] == 4


def test_visits_after_the_next_delivery_ask_for_nothing_today(forecast_of):
    curve = _curves(forecast_of(UNIT, booked={9: 5}), {2: 1.0})
    assert smallest_level(curve.service, 0.99)[0] == 0


def test_unit_fill_of_steady_walk_ins_is_the_published_formula(forecast_of):
    curve = _curves(forecast_of(UNIT, daily=2 / 7), {14: 1.0})
    lead, both = (compound_poisson_pmf(mean, UNIT, 128) for mean in (4.0, 6.0))
    for level in (3, 6, 9):
        assert curve.units[0, level] == pytest.approx(fill_rate(level, lead, both, 2.0), abs=1e-7)
        assert curve.calm[0, level] == pytest.approx(both[: level + 1].sum(), abs=1e-7)


def test_an_uncertain_delivery_lies_between_its_days(forecast_of):
    forecast = forecast_of(np.array([0.2, 0.8]), booked={1: 2, 6: 2}, daily=0.5, doubt=0.3)
    soon, late = (_curves(forecast, {day: 1.0}) for day in (1, 6))
    either = _curves(forecast, {1: 0.5, 6: 0.5})
    low, high = np.minimum(soon.units, late.units), np.maximum(soon.units, late.units)
    assert (either.units >= low - 1e-6).all()
    assert (either.units <= high + 1e-6).all()
    assert either.calm == pytest.approx((soon.calm + late.calm) / 2, abs=1e-7)


def test_more_on_the_shelf_never_serves_fewer(forecast_of):
    forecast = forecast_of(np.array([0.1, 0.9]), booked={3: 4}, show=0.5, daily=1.0, doubt=0.6)
    for curve in (_curves(forecast, {2: 1.0}).service[0], _curves(forecast, {0: 1.0}).units[0]):
        assert (np.diff(curve) >= -1e-7).all()


def test_loose_use_alone_is_planned_by_unit_fill(forecast_of):
    curve = _curves(forecast_of(UNIT, loose_daily=0.3), {2: 1.0})
    assert curve.service[0] == pytest.approx(curve.units[0], abs=1e-9)
    assert smallest_level(curve.booked, 0.99)[0] == 0


def test_curves_are_long_enough_for_the_usual_target(forecast_of):
    forecast = forecast_of(np.array([0.0, 0.2, 0.8]), booked={2: 30}, show=0.9, daily=3, doubt=0.2)
    routes = Routes(np.array([0]), np.eye(6)[[5]])
    size = int(sizes_needed(forecast, routes, 7)[0])
    assert curves(forecast, routes, 7, size).service[0, -1] > 0.999


def test_the_shelf_must_hold_out_until_a_slow_supplier_delivers(forecast_of):
    forecast = forecast_of(UNIT, booked={0: 1, 3: 2, 6: 4})
    lead = np.zeros((2, 6))
    lead[0, 1] = lead[1, 5] = 1.0
    bridge = curves(forecast, Routes(np.array([0, 0]), lead), 7, 64).bridge
    assert smallest_level(bridge, 0.99).tolist() == [0, 3]


def test_loose_use_alone_must_hold_out_as_well(forecast_of):
    forecast = forecast_of(UNIT, loose_daily=1.0)
    lead = np.zeros((2, 6))
    lead[0, 1] = lead[1, 5] = 1.0
    bridge = smallest_level(curves(forecast, Routes(np.array([0, 0]), lead), 7, 64).bridge, 0.99)
    assert bridge.tolist() == [0, 11]  # the 99 % point of Poisson(5)


def test_unknown_weekly_rates_are_met_as_often_as_each_rate_by_itself(forecast_of):
    """A service is likelier to come in a shop whose rate is high, and meets a barer shelf there."""
    gamma = pytest.importorskip("scipy.stats").gamma
    shape, daily = 1 / 0.6**2, 0.4
    found = _curves(forecast_of(UNIT, daily=daily, doubt=0.6), {3: 1.0}).service[0]
    rates = gamma.ppf((np.arange(400) + 0.5) / 400, shape, scale=daily / shape)
    each = [_curves(forecast_of(UNIT, daily=rate), {3: 1.0}).service[0] for rate in rates]
    wanted = np.average(each, axis=0, weights=rates)
    assert found[:20] == pytest.approx(wanted[:20], abs=2e-3)


def test_the_booked_level_looks_at_visits_in_the_book_alone(forecast_of):
    booked = {2: 2, 5: 3}
    busy, quiet = (
        _curves(forecast_of(UNIT, booked=booked, show=0.9, daily=daily), {2: 1.0}).booked[0]
        for daily in (3.0, 0.0)
    )
    assert busy == pytest.approx(quiet, abs=1e-7)
