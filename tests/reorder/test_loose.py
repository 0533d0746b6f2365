"""Use that belongs to no visit."""

import numpy as np
import pytest

from consumables.reorder.loose import learn_loose


def _learn(events, history_days=70, items=2):
    item, day, units = np.array(events).reshape(-1, 3).T
    step = np.ones(items, dtype=np.int64)
    return learn_loose(item.astype(int), day.astype(int), units, step, history_days)


def test_ten_jars_in_ten_weeks_are_about_one_a_week():
    found = _learn([(0, -7 * week, 3) for week in range(10)])
    assert 7 * found.daily[0] == pytest.approx(1, abs=0.1)
    assert found.pmf[0, 3] == pytest.approx(1)


def test_one_event_in_many_weeks_is_rare_and_uncertain():
    found = _learn([(0, 0, 1)], history_days=100_000)
    assert found.shape[0] == pytest.approx(1.5)
    assert 7 * found.daily[0] == pytest.approx(1.5 / (1 + 182 / np.log(2) / 7), rel=0.01)


def test_what_was_never_used_loose_is_not_expected_to_be():
    assert _learn([(0, -3, 1)]).daily[1] == 0


def test_an_event_still_to_come_teaches_nothing():
    assert _learn([(0, 4, 1)]).daily[0] == 0


def test_old_events_count_less():
    old, new = (_learn([(0, -days, 1)], history_days=700).daily[0] for days in (600, 5))
    assert old < 0.6 * new


def test_sizes_of_events_keep_their_mean():
    found = learn_loose(np.array([0, 0]), np.array([0, 0]), np.array([5.0, 9.0]), np.array([2]), 9)
    assert 2 * found.pmf[0] @ np.arange(found.pmf.shape[1]) == pytest.approx(7)
