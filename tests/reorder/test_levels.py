"""Levels and fill rates, against published tables and the exact grid."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.reorder.chances import (
    compound_negative_binomial_pmf,
    compound_poisson_pmf,
    convolved_power,
)
from consumables.reorder.levels import (
    cycle_service,
    expected_short,
    fill_curve,
    fill_rate,
    level_for_fill,
    pack_average,
    smallest_level,
)

UNIT = np.array([0.0, 1.0])
SIZE = 256
GRID_BATCHES = {
    "unit(1)": UNIT,
    "all2": np.eye(3)[2],
    "all4": np.eye(5)[4],
    "unif1-4": np.array([0, 1, 1, 1, 1]) / 4,
    "skew1-4": np.array([0, 0.6, 0.2, 0.1, 0.1]),
}


def _weeks(inputs, pmf, weeks):
    """Pmf of the use of so many weeks for a periodic-review record."""
    if inputs["distribution"] == "negative_binomial":
        ratio = inputs["variance_to_mean"] - 1
        events = inputs["weekly_mean"] * weeks
        return compound_negative_binomial_pmf(events, events / ratio, UNIT, SIZE)
    return compound_poisson_pmf(inputs["lam"] * weeks, pmf(inputs["batch"]), SIZE)


def test_levels_and_fill_rates_match_every_periodic_review_record(periodic_review_record, pmf):
    inputs, told = periodic_review_record["inputs"], periodic_review_record["expected"]
    lead, both = (_weeks(inputs, pmf, weeks) for weeks in (inputs["L"], inputs["L"] + inputs["R"]))
    mean = inputs["weekly_mean"] * inputs["R"]
    level = level_for_fill(lead, both, mean, inputs["target"])
    assert level == told["order_up_to_for_fill"]
    close = periodic_review_record["tolerance"]["abs"]
    assert fill_rate(level, lead, both, mean) == pytest.approx(told["fill_at_S"], abs=close)
    if "csl_at_S" in told:
        before = fill_rate(level - 1, lead, both, mean)
        assert before == pytest.approx(told["fill_at_S_minus_1"], abs=close)
        assert cycle_service(level, both) == pytest.approx(told["csl_at_S"], abs=close)
    enough = told["order_up_to_for_csl"]
    assert cycle_service(enough, both) >= inputs["target"] > cycle_service(enough - 1, both)


def test_the_exact_grid_is_met_cell_by_cell(grid_row):
    batch, weekly = GRID_BATCHES[grid_row["batch_use"]], float(grid_row["weekly_mean"])
    lead, review = int(grid_row["L"]), int(grid_row["R"])
    rate = weekly / float(batch @ np.arange(len(batch)))
    to_day, to_end = (compound_poisson_pmf(rate * w, batch, SIZE) for w in (lead, lead + review))
    level = level_for_fill(to_day, to_end, weekly * review, float(grid_row["target"]))
    assert level == int(grid_row["S_exact"])
    fill = fill_rate(level, to_day, to_end, weekly * review)
    assert fill == pytest.approx(float(grid_row["fill_exact"]), abs=2e-7)
    assert cycle_service(level, to_end) == pytest.approx(float(grid_row["csl_exact"]), abs=2e-7)


@pytest.mark.parametrize("name", ["bs-sobel-S7", "bs-sobel-S5"])
def test_fill_rate_does_not_count_a_shortage_twice(record, close_to, pmf, name):
    told = record("fill_rate", name)
    one = pmf(told["inputs"]["one_week_pmf"])
    lead, both = (convolved_power(one, weeks, 16) for weeks in (2, 3))
    assert fill_rate(told["inputs"]["S"], lead, both) == close_to(told, "fill_rate")


def test_counting_the_whole_interval_gives_the_traditional_figure(record, close_to, pmf):
    told = record("fill_rate", "bs-traditional-S7")
    both = convolved_power(pmf(told["inputs"]["one_week_pmf"]), 3, 16)
    assert expected_short(7, both) == close_to(told, "expected_short")
    assert fill_rate(7, UNIT[::-1], both, review_mean=1.1) == close_to(told, "fill_rate")


def test_cycle_service_matches_the_published_table(record, close_to, pmf):
    told = record("service_level", "bs-csl")
    both = convolved_power(pmf(told["inputs"]["one_week_pmf"]), 2, 8)
    found = [cycle_service(level, both) for level in told["inputs"]["S"]]
    assert found == close_to(told, "csl")


def test_cycle_service_praises_an_empty_shelf_and_fill_rate_does_not(record):
    told = record("service_level", "csl-zero-stock-paradox")["expected"]
    week = np.array([0.9, 0.1])
    assert cycle_service(0, week) == pytest.approx(told["csl"])
    assert fill_rate(0, np.array([1.0, 0.0]), week) == pytest.approx(told["fill_rate"])


def test_whole_packs_lower_the_trigger_as_in_every_pack_record(pack_size_record, pmf):
    inputs, told = pack_size_record["inputs"], pack_size_record["expected"]
    batch = pmf(inputs["batch"])
    rate = inputs["weekly_mean"] / float(batch @ np.arange(len(batch)))
    weeks = (inputs["L"], inputs["L"] + inputs["R"])
    lead, both = (compound_poisson_pmf(rate * w, batch, SIZE) for w in weeks)
    mean, pack = inputs["weekly_mean"] * inputs["R"], inputs["pack"]
    s = level_for_fill(lead, both, mean, inputs["target_fill"], pack)
    curve = fill_curve(lead[None], both[None], np.array([mean]))
    fill = pack_average(curve, np.array([pack]))[0]
    assert s == told["s"]
    assert fill[s] == pytest.approx(told["fill"], abs=pack_size_record["tolerance"]["abs"])
    assert fill[s - 1] == pytest.approx(told["fill_at_s_minus_1"], abs=1e-8)
    whole = pack_size_record["recomputed_full_precision"].get("s_if_no_packs")
    assert level_for_fill(lead, both, mean, inputs["target_fill"]) == whole


def test_a_simulated_shop_with_packs_reaches_the_fill_that_was_promised(record):
    """(R, s, nQ) with weekly use Poisson(1), a week's delivery time, packs of 6."""
    s, pack, promised = 3, 6, record("pack_size", "pack-2")["expected"]["fill"]
    rng = np.random.default_rng(20260302)
    net, due, asked, missed = s, 0, 0, 0
    for use in rng.poisson(1.0, 120_000):
        packs = -(-max(0, s - net - due) // pack)
        net += due  # last week's order comes in as this week's is placed
        due = packs * pack
        missed += min(use, max(0, use - max(net, 0)))
        net, asked = net - use, asked + use
    assert 1 - missed / asked == pytest.approx(promised, abs=0.004)


@given(st.floats(0.1, 8), st.floats(0.5, 0.98), st.integers(1, 12))
def test_a_higher_target_never_lowers_a_level(weekly, target, pack):
    lead, both = (compound_poisson_pmf(weekly * weeks, UNIT, SIZE) for weeks in (1, 2))
    low = level_for_fill(lead, both, weekly, target, pack)
    assert low <= level_for_fill(lead, both, weekly, target + 0.015, pack)


@given(st.floats(0.1, 8), st.floats(0.1, 4), st.floats(0.5, 0.99))
def test_more_use_never_lowers_a_level(weekly, more, target):
    def level(mean):
        lead, both = (compound_poisson_pmf(mean * weeks, UNIT, SIZE) for weeks in (1, 2))
        return level_for_fill(lead, both, mean, target)

    assert level(weekly) <= level(weekly + more)


@given(st.floats(0.2, 8), st.integers(0, 30))
def test_the_curve_says_what_the_formula_says(weekly, level):
    lead, both = (compound_poisson_pmf(weekly * weeks, UNIT, SIZE) for weeks in (1, 2))
    curve = fill_curve(lead[None], both[None], np.array([weekly]))
    assert curve[0, level] == pytest.approx(fill_rate(level, lead, both, weekly), abs=1e-7)


def test_a_target_beyond_the_curve_is_said_and_not_guessed():
    assert smallest_level(np.array([[0.1, 0.2]]), 0.9)[0] == -1
