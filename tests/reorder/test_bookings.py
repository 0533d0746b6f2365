"""Booked visits, who stays away, and visits not booked yet."""

from datetime import timedelta

import numpy as np
import pandas as pd
import pytest

from consumables.reorder.bookings import (
    LONGEST_LEAD,
    day_shares,
    expect_visits,
    lead_counts,
    pickup,
    show_chances,
    weeks_of,
)
from consumables.reorder.tables import tidy
from consumables.reorder.visits import read_visits

MONDAY = 0


@pytest.fixture(scope="session")
def book(today):
    """Visits from rows (day, days booked ahead or None, status[, services])."""

    def build(rows, services=("full",)):
        found = [
            {
                "visit": f"v{n:05d}",
                "service": service,
                "starts_on": today + timedelta(days=day),
                "booked_on": None if ahead is None else today + timedelta(days=day - ahead),
                "status": status,
            }
            for n, (day, ahead, status, *held) in enumerate(rows)
            for service in (held[0] if held else ("full",))
        ]
        columns = ["visit", "service", "starts_on", "booked_on", "status"]
        frame = tidy("appointments", pd.DataFrame(found, columns=columns))
        return read_visits(frame, set(services), today)

    return build


def _steady(weeks, per_week, ahead=None):
    """Served visits on Mondays of so many past weeks."""
    return [(-7 * week, ahead, "served") for week in range(1, weeks + 1) for _ in range(per_week)]


def test_pickup_is_the_additive_pickup_of_every_record(booking_pickup_record, book):
    inputs = booking_pickup_record["inputs"]
    now, stages = inputs["stage_index"], inputs["days_before"]
    past = [
        (-7 * (week + 1), days, "served")
        for week, curve in enumerate(inputs["past_curves"])
        for days, more in zip(stages, np.diff(curve, prepend=0), strict=True)
        for _ in range(more)
    ]
    shape = lead_counts(book(past), np.ones(len(past)))
    day = stages[now]  # the only day of work is so many days ahead today
    mean, _ = pickup(shape, np.array([len(inputs["past_curves"])]), np.eye(30)[day])
    wanted = booking_pickup_record["expected"]["additive"]
    assert inputs["on_books_now"] + mean[0, -1] == pytest.approx(wanted, abs=1e-9)


def test_uncertainty_of_pickup_is_that_of_the_gamma():
    shape, share = np.array([[4.0, 2.0]]), np.array([1.0, 1.0])
    mean, sd = pickup(shape, np.array([2.0]), share)
    assert mean[0].tolist() == pytest.approx([0, 2, 4])  # same-day bookings on both days
    assert sd[0, 2] == pytest.approx(2 * np.sqrt(4) / 2)


def test_a_steady_past_is_expected_to_go_on(book):
    found = expect_visits(book(_steady(60, 6, ahead=3)), MONDAY)
    # ten Mondays, of which today's six were booked three days ago and came
    assert found.mean[:, 70].sum() == pytest.approx(54, rel=0.06)
    assert found.by_pickup.all()


def test_what_is_already_booked_is_not_expected_again(book):
    past = _steady(60, 6, ahead=20)
    found = expect_visits(book([*past, *[(7, 21, "booked")] * 6]), MONDAY)
    assert found.mean[:, 8].sum() < 0.7  # all of a week ahead is booked by now


def test_without_booking_dates_a_week_fills_to_its_usual_number(book):
    past = _steady(60, 6)
    empty = expect_visits(book(past), MONDAY)
    half = expect_visits(book([*past, *[(2, None, "booked")] * 3]), MONDAY)
    full = expect_visits(book([*past, *[(2, None, "booked")] * 9]), MONDAY)
    week = [found.mean[0, 7] for found in (empty, half, full)]
    assert not empty.by_pickup.any()
    assert week[0] == pytest.approx(5.6, abs=0.4)
    assert week[1] == pytest.approx(week[0] - 3, abs=0.4)
    assert week[2] == pytest.approx(0, abs=1e-9)


def test_recent_weeks_count_more(book):
    rising = [(-7 * w, None, "served") for w in range(1, 41) for _ in range(8 if w <= 8 else 2)]
    found = expect_visits(book(rising), MONDAY)
    assert found.mean[0, 28] / 4 > 4.5  # the plain mean of forty weeks is 3.2


def test_a_shop_without_a_past_takes_its_fullest_week_as_usual(book):
    calendar = [(day, 5, "booked") for day in (0, 1, 2, 3, 3)] + [(9, 5, "booked")]
    found = expect_visits(book(calendar), MONDAY)
    # 5 x 0.95 visits, twice, and half a visit make 5 a week; next week 0.95 of them are booked
    assert found.mean[0, 7] == pytest.approx(0.25, abs=0.01)
    assert found.mean[0, 14] - found.mean[0, 7] == pytest.approx(5 - 0.95, abs=0.01)


def test_a_service_that_was_never_done_is_expected_once_a_quarter(book):
    found = expect_visits(book(_steady(30, 5), services=("full", "rare")), MONDAY)
    rare = found.mean[1 if found.mean[0, 90] > 10 else 0]
    assert 0.5 < rare[91] < 1.1


def test_a_new_service_is_judged_on_its_own_weeks(book):
    new = [(-7 * week, 2, "served", ("tidy",)) for week in range(1, 6) for _ in range(4)]
    visits = book([*_steady(80, 5, ahead=2), *new])
    found = expect_visits(visits, MONDAY)
    tidy_up = int(np.flatnonzero(visits.holds[:, 1] & visits.single)[0])
    assert found.mean[tidy_up, 70] / 9 == pytest.approx(4, rel=0.12)


def test_visits_without_a_booking_date_count_as_the_dated_ones_do(book):
    some = [(day, 2 if n % 3 else None, how) for n, (day, _, how) in enumerate(_steady(60, 6))]
    found = expect_visits(book(some), MONDAY)
    assert found.by_pickup.all()
    assert found.mean[0, 70] == pytest.approx(54, rel=0.06)


def test_more_than_thirty_services_are_told_apart(book):
    names = tuple(f"s{n:02d}" for n in range(70))
    visits = book([(1, 1, "booked", (names[3],)), (2, 1, "booked", (names[63],))], services=names)
    assert visits.kinds == 70
    assert [visits.services[row.argmax()] for row in visits.holds[visits.kind]] == ["s03", "s63"]


def test_few_weeks_of_history_leave_a_wide_forecast(book):
    few, many = (expect_visits(book(_steady(n, 4, ahead=1)), MONDAY) for n in (2, 100))
    relative = [found.sd[0, 14] / found.mean[0, 14] for found in (few, many)]
    assert relative[0] > 1.8 * relative[1]


def test_a_closed_day_gets_next_to_nothing(book):
    share = day_shares(book(_steady(60, 6)), MONDAY, 14)
    assert share[:7].sum() == pytest.approx(1)
    assert share[0] == share[7] > 0.9
    assert share[6] < 0.02


def test_nearly_everyone_comes_until_the_past_says_otherwise(book):
    assert show_chances(book([])) == pytest.approx(0.95)


def test_those_who_stay_away_lower_the_chance_of_their_service(book):
    rows = [(-1, 5, "served", ("full",))] * 200 + [(-1, 5, "no-show", ("tidy",))] * 100
    visits = book(rows, services=("full", "tidy"))
    full, tidy_up = (
        show_chances(visits)[int(np.flatnonzero(visits.holds[:, s] & visits.single)[0])]
        for s in (0, 1)
    )
    assert full[:3].min() > 0.95
    assert tidy_up[:3].max() < 0.1
    assert tidy_up[3:] == pytest.approx(0.95)  # nobody booked more than a week ahead


def test_a_cancelled_visit_is_a_miss_only_as_far_ahead_as_it_was_booked(book):
    chance = show_chances(book([(-1, 20, "cancelled")] * 50))[0]
    assert chance[4] < 0.3
    assert chance[:4] == pytest.approx(0.95)


def test_a_visit_of_two_services_is_one_visit(book):
    visits = book([(3, 2, "booked", ("full", "tidy"))], services=("full", "tidy"))
    found = expect_visits(visits, MONDAY)
    assert found.booked.sum() == 1
    assert visits.kinds == 3


def test_weights_of_past_weeks_halve():
    assert weeks_of(10_000, 56) == pytest.approx(56 / np.log(2) / 7, rel=0.01)
    assert weeks_of(7, 1e9) == pytest.approx(1)


def test_bookings_very_far_ahead_are_not_lost(book):
    counts = lead_counts(book([(-1, 300, "served")]), np.ones(1))
    assert counts[0, LONGEST_LEAD] == 1
