"""What services really use, learnt from close-outs."""

from datetime import timedelta

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.reorder.forecast import learn
from consumables.reorder.usage import PSEUDO_SERVICES, set_up_pmf
from consumables.reorder.week import read_tables


@pytest.fixture(scope="session")
def learnt(shop, today):
    """Learn from the small shop with past visits [(services, {item: quantity} or rows)]."""

    def build(past, days_ago=1, **tables):
        visits = [
            {"visit": f"p{n}", "service": s, "starts_on": today - timedelta(days=days_ago)}
            for n, (services, _) in enumerate(past)
            for s in services
        ]
        rows = [
            {"visit": f"p{n}", "service": s, "item": item, "quantity": quantity}
            for n, (_, used) in enumerate(past)
            for s, item, quantity in used
        ]
        named = shop(**tables) | {
            "appointments": pd.DataFrame(visits).assign(status="served"),
            "usage": pd.DataFrame(rows, columns=["visit", "service", "item", "quantity"]),
            "loose_use": None,
        }
        known = ("items", "set_ups", "appointments", "usage", "loose_use")
        return learn(**read_tables({name: named[name] for name in known}), as_of=today)

    return build


def _pmf(learnt, service, item):
    """Pmf of one pair and the close-outs behind it."""
    services, items = learnt.visits.services, learnt.forecast.items
    mine = (learnt.pairs.service == services.index(service)) & (
        learnt.pairs.item == items.index(item)
    )
    row = int(np.flatnonzero(mine)[0])
    return learnt.use.pmf[row], int(learnt.use.seen[row])


def test_a_shop_without_a_past_goes_by_its_set_up(learnt):
    found, seen = _pmf(learnt([(["full"], [])]), "full", "file")
    assert (found @ np.arange(len(found)), seen) == (pytest.approx(2), 0)
    assert found[2] == pytest.approx(0.8)


def test_close_outs_pull_the_set_up_towards_practice(learnt):
    found, seen = _pmf(learnt([(["full"], [("full", "file", 3)])] * 6, 182), "full", "file")
    assert seen == 6
    # six close-outs half a year old count as three, against four pseudo-services of the set-up
    assert found[3] == pytest.approx((3 + PSEUDO_SERVICES * 0.1) / (3 + PSEUDO_SERVICES), rel=1e-6)


def test_what_a_card_does_not_show_was_not_used(learnt):
    past = [(["full"], [("full", "file", 2), ("full", "remover", 10)])] * 3
    found, seen = _pmf(learnt([*past, (["full"], [("full", "file", 2)])]), "full", "remover")
    assert seen == 4
    assert found[0] > 0.1


def test_a_visit_without_a_card_is_no_evidence(learnt):
    _, seen = _pmf(learnt([(["full"], [("full", "file", 2)]), (["full"], [])]), "full", "file")
    assert seen == 1


def test_an_item_new_to_the_shop_is_not_counted_as_unused_before(learnt, today, shop):
    tables = shop()
    visits = pd.DataFrame(
        {
            "visit": ["old", "new"],
            "service": "full",
            "starts_on": [today - timedelta(days=90), today - timedelta(days=5)],
            "status": "served",
        }
    )
    usage = pd.DataFrame(
        {"visit": ["old", "new", "new"], "item": ["file", "file", "remover"], "quantity": [2, 2, 9]}
    ).assign(service="full")
    given = {"items": tables["items"], "set_ups": tables["set_ups"], "appointments": visits}
    found = learn(**read_tables(given | {"usage": usage, "loose_use": None}), as_of=today)
    assert _pmf(found, "full", "remover")[1] == 1
    assert _pmf(found, "full", "file")[1] == 2


ONCE = [
    {"service": "full", "item": "file", "quantity": 2, "once_per_visit": True},
    {"service": "tidy", "item": "file", "quantity": 1, "once_per_visit": True},
]


@pytest.mark.parametrize("named", ["full", "tidy", ""])
def test_what_is_needed_once_per_visit_counts_for_the_service_that_asks_for_most(learnt, named):
    found = learnt([(["full", "tidy"], [(named, "file", 2)])] * 5, set_ups=ONCE)
    assert _pmf(found, "full", "file")[1] == 5
    assert _pmf(found, "tidy", "file")[1] == 0


@pytest.mark.parametrize(("once", "expected"), [(True, 2), (False, 3)])
def test_a_visit_of_two_services_asks_once_for_what_is_needed_once(learnt, once, expected):
    lines = [line | {"once_per_visit": once} for line in ONCE]
    found = learnt([(["full", "tidy"], [])], set_ups=lines).forecast
    both = np.flatnonzero(found.kinds_in.sum(axis=0) > 0)
    means = found.use @ np.arange(found.use.shape[1])
    asked = max(float(found.kinds_in[:, kind] @ means) for kind in both)
    assert asked == pytest.approx(expected)


def test_a_quantity_nobody_can_place_is_no_evidence(learnt):
    past = [(["full", "tidy"], [("", "file", 3), ("full", "remover", 10)])]
    found = learnt(past)
    assert _pmf(found, "full", "file")[1] == _pmf(found, "tidy", "file")[1] == 0
    assert _pmf(found, "full", "remover")[1] == 1


def test_kept_things_are_not_used_up_by_visits(learnt):
    items = [{"item": "file", "unit": "each", "category": "disinfectable"}, {"item": "remover"}]
    found = learnt([(["full"], [("full", "file", 2)])], items=items)
    assert not (found.pairs.item == found.forecast.items.index("file")).any()


def test_practice_outside_the_set_up_counts_while_it_is_recent(learnt):
    past = [(["tidy"], [("tidy", "remover", 5)])] * 10
    assert _pmf(learnt(past), "tidy", "remover")[1] == 10
    old = learnt(past, days_ago=61)
    assert len(old.pairs) == len(learnt([(["full"], [])]).pairs)


def test_drift_names_service_item_and_how_many_were_seen(learnt):
    past = [(["full"], [("full", "file", 3 if n % 10 < 7 else 2)]) for n in range(40)]
    found = learnt(past).drift
    assert found.to_dict("records") == [
        {
            "service": "full",
            "item": "file",
            "set_up": 2,
            "practice": pytest.approx(2.7),
            "services_seen": 40,
        }
    ]


def test_a_few_odd_services_are_not_called_drift(learnt):
    assert learnt([(["full"], [("full", "file", 3)])] * 7).drift.empty


def test_a_difference_within_chance_is_not_called_drift(learnt):
    wild = [0, 0, 0, 0, 5, 5, 5, 5, 5]  # mean 2.8 with a standard error of 0.8
    assert learnt([(["full"], [("full", "file", many)]) for many in wild]).drift.empty


def test_millilitres_are_counted_in_doses(learnt):
    found = learnt([(["full"], [("full", "remover", 10)])])
    assert found.forecast.step.tolist() == [1, 5]
    assert _pmf(found, "full", "remover")[0].argmax() == 2


def test_a_quantity_between_two_doses_keeps_its_mean(learnt):
    found, _ = _pmf(learnt([(["full"], [("full", "remover", 12)])] * 400), "full", "remover")
    assert 5 * (found @ np.arange(len(found))) == pytest.approx(12, abs=0.03)


@given(st.floats(0, 40))
def test_the_prior_is_centred_on_the_set_up(steps):
    prior = set_up_pmf(np.array([steps]), 64)[0]
    assert prior.sum() == pytest.approx(1)
    assert prior @ np.arange(64) == pytest.approx(steps)
