"""Sums of chances, against published recursions and worked tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.reorder.chances import (
    compound_negative_binomial_pmf,
    compound_poisson_pmf,
    convolved,
    convolved_power,
    mixed,
    moments,
    thinned_pmf,
)

BATCHES = st.lists(st.floats(0.01, 1), min_size=1, max_size=5).map(
    lambda w: np.array([0.0, *w]) / sum(w)
)


def test_totals_of_services_match_every_published_compound_pmf(compound_demand_record, pmf):
    told, inputs = compound_demand_record["expected"], compound_demand_record["inputs"]
    wanted = np.array(told.get("pmf") or told["pmf0_9"])
    if "weeks" in inputs:
        found = convolved_power(pmf(inputs["one_week_pmf"]), inputs["weeks"], len(wanted))
    else:
        found = compound_poisson_pmf(inputs["lam"], pmf(inputs["batch"]), len(wanted))
    assert found == pytest.approx(wanted, abs=compound_demand_record["tolerance"]["abs"])


@pytest.mark.parametrize("name", ["cp-1", "cp-2", "cp-3"])
def test_mean_variance_and_quantiles_of_totals_match(name, record, pmf):
    told, inputs = (record("compound_demand", name)[part] for part in ("expected", "inputs"))
    found = compound_poisson_pmf(inputs["lam"], pmf(inputs["batch"]), 200)
    mean, square = moments(found)
    assert mean == pytest.approx(told["mean"], abs=1e-8)
    assert square - mean**2 == pytest.approx(told["variance"], abs=1e-6)
    assert int(np.searchsorted(np.cumsum(found), 0.95)) == told["q95"]
    assert int(np.searchsorted(np.cumsum(found), 0.99)) == told["q99"]


@given(st.floats(0.01, 40), BATCHES)
def test_transform_agrees_with_the_panjer_recursion(events, batch):
    # Panjer 1981, ASTIN Bulletin 12: k g(k) = events * sum of j f(j) g(k - j)
    wanted = [np.exp(-events)]
    for k in range(1, 40):
        sizes = np.arange(1, min(k, len(batch) - 1) + 1)
        wanted.append(events / k * sum(j * batch[j] * wanted[k - j] for j in sizes))
    assert compound_poisson_pmf(events, batch, 40) == pytest.approx(wanted, abs=1e-8)


def test_gamma_rates_with_single_units_are_negative_binomial():
    nbinom = pytest.importorskip("scipy.stats").nbinom
    found = compound_negative_binomial_pmf(3.0, 1.7, np.array([0.0, 1.0]), 60)
    assert found == pytest.approx(nbinom.pmf(np.arange(60), 1.7, 1.7 / 4.7), abs=1e-8)


def test_a_certain_rate_leaves_compound_poisson():
    batch = np.array([0.2, 0.5, 0.3])
    sure = compound_negative_binomial_pmf(4.0, 1e10, batch, 30)
    assert sure == pytest.approx(compound_poisson_pmf(4.0, batch, 30), abs=1e-7)


def test_a_heavy_tail_beyond_the_array_does_not_fold_back():
    nbinom = pytest.importorskip("scipy.stats").nbinom
    found = compound_negative_binomial_pmf(400.0, 0.3, np.array([0.0, 1.0]), 16)
    assert found == pytest.approx(nbinom.pmf(np.arange(16), 0.3, 0.3 / 400.3), abs=1e-8)


def test_booked_visits_that_may_stay_away_are_binomial():
    binom = pytest.importorskip("scipy.stats").binom
    found = thinned_pmf(12, 0.9, np.array([0.0, 1.0]), 13)
    assert found == pytest.approx(binom.pmf(np.arange(13), 12, 0.9), abs=1e-9)


def test_two_services_of_one_visit_add_up():
    assert convolved(np.array([0.5, 0.5]), np.array([0.0, 1.0])) == pytest.approx([0, 0.5, 0.5])


def test_an_uncertain_delivery_day_mixes_its_demands():
    assert mixed(np.eye(2), np.array([0.3, 0.7])) == pytest.approx([0.3, 0.7])
