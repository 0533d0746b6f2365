"""What expires unused, and how much is worth buying."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.reorder.shelf_life import (
    NEVER,
    WASTE_SHARE,
    Lots,
    expected_outdates,
    most_worth_buying,
    opened_loss,
)

UNIT = np.array([0.0, 1.0])
ONE = np.array([0])


def _lots(*lots):
    steps, life = np.array(lots, dtype=np.int64).reshape(-1, 2).T
    return Lots(np.zeros(len(steps), dtype=np.int64), steps, life)


def _worth(forecast, lots, life, on_order=0, most=200):
    order, top = np.array([on_order]), np.array([most])
    return int(most_worth_buying(forecast, lots, ONE, np.array([life]), order, top)[0])


def test_one_week_old_stock_loses_the_published_number(record, close_to, forecast_of):
    # With a life of one review the expected loss is E(S - D)+ exactly (record fifo-m1).
    told = record("perishables", "fifo-m1")
    lost = expected_outdates(forecast_of(UNIT, daily=3 / 7), _lots((told["inputs"]["S"], 7)))
    assert lost[0] == close_to(told, "outdate_per_week")


def test_what_expires_first_is_used_first_as_played_through(forecast_of):
    lots, daily = [(4, 5), (6, 9), (5, 30)], 0.5
    found = expected_outdates(forecast_of(UNIT, daily=daily), _lots(*lots))
    rng, shops = np.random.default_rng(5), 20_000
    lost = np.zeros(3)
    for use in rng.poisson(daily, (shops, 30)):
        left = [many for many, _ in lots]
        for day, wanted in enumerate(use):
            for lot, (_, life) in enumerate(lots):
                if day < life:
                    taken = min(left[lot], wanted)
                    left[lot], wanted = left[lot] - taken, wanted - taken
        lost += left
    assert found == pytest.approx(lost / shops, abs=0.06)


def test_a_lot_without_a_date_never_expires(forecast_of):
    assert expected_outdates(forecast_of(UNIT, daily=0.01), _lots((50, NEVER)))[0] == 0


def test_a_lot_is_used_on_its_use_by_day_and_not_after(forecast_of):
    forecast = forecast_of(UNIT, booked={4: 1})
    lost = [expected_outdates(forecast, _lots((1, life)))[0] for life in (4, 5)]
    assert lost == pytest.approx([1, 0], abs=1e-6)


def test_only_what_will_be_used_in_time_is_worth_buying(forecast_of):
    forecast = forecast_of(UNIT, booked=dict.fromkeys(range(20), 1))
    assert _worth(forecast, _lots(), life=20) == 21  # 1 of 21 is within the twentieth allowed
    assert _worth(forecast, _lots((5, NEVER)), life=20) == 15
    assert _worth(forecast, _lots((5, 3)), life=20) == 17  # 2 of the 5 expire first
    assert _worth(forecast, _lots(), life=20, on_order=12) == 8


@given(st.floats(0.05, 2), st.integers(0, 30), st.integers(3, 60))
def test_the_largest_worthwhile_purchase_wastes_no_more_than_its_share(
    forecast_of, daily, there, life
):
    poisson = pytest.importorskip("scipy.stats").poisson

    mean = daily * life
    use = poisson.pmf(np.arange(400), mean)
    left = [float(use @ np.maximum(there + more - np.arange(400), 0)) for more in range(62)]
    kept = [q for q in range(1, 62) if left[q] - left[0] <= WASTE_SHARE * q + 1e-6]
    forecast = forecast_of(UNIT, daily=daily)
    assert _worth(forecast, _lots((there, NEVER)), life, most=61) == max(kept, default=0)


def test_no_more_is_called_worthwhile_than_was_asked_about(forecast_of):
    forecast, none = forecast_of(UNIT, daily=0.5, items=2), np.zeros(2, dtype=np.int64)
    asked, life = np.array([3, 55]), np.array([60, 60])
    found = most_worth_buying(forecast, _lots(), np.arange(2), life, none, asked)
    assert found[0] == 3
    assert 20 < found[1] < 55


def test_a_longer_life_is_never_worth_less(forecast_of):
    forecast = forecast_of(UNIT, daily=0.4, doubt=0.3)
    worth = [_worth(forecast, _lots((6, 10)), life) for life in (15, 30, 60, 90)]
    assert worth == sorted(worth)


def test_a_pack_opened_for_too_little_use_loses_the_rest(forecast_of):
    forecast = forecast_of(UNIT, booked=dict.fromkeys(range(2, 12), 1))
    loss = opened_loss(forecast, ONE, np.array([2]), np.array([6]), np.array([10]))
    assert loss[0] == pytest.approx(4, abs=1e-6)
    assert opened_loss(forecast, ONE, np.array([2]), np.array([30]), np.array([10]))[0] < 1e-6
