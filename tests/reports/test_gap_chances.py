"""Slips or a habit: what the numbers of short cards and odd counts can and cannot tell."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from random import Random

import pandas as pd
import pytest
from scipy import stats

from consumables.items.catalogue import SetUpLine
from consumables.items.classify import classify
from consumables.items.item import Item, Part
from consumables.items.rulebook_reader import shipped
from consumables.reports.gap_chances import ReuseGap, reckon
from consumables.reports.reuse_gap import CardTold, Counting, Rule, UseTold, rule_of

DEMO = Path(__file__).parents[2] / "demo_shop"
NOON = datetime(2026, 3, 4, 12, tzinfo=UTC)


def paper(name: str) -> Item:
    return Item(name, name, kind=name, parts=(Part("body", "paper", True),))


def asking(items: Sequence[str], service: str = "manicure") -> Rule:
    book = shipped("strict-majority")
    known = {name: paper(name) for name in items}
    verdicts = {name: classify(item, book) for name, item in known.items()}
    return rule_of([SetUpLine(service, name, 1) for name in items], known, verdicts)


def week(short: int, cards: int, who: str = "AB", item: str = "board") -> list[CardTold]:
    """Cards of one technician, the first `short` of them without the item."""
    full = (UseTold("manicure", item, 1),)
    return [
        CardTold(f"{who}{n}", NOON, who, ("manicure",), () if n < short else full)
        for n in range(cards)
    ]


def counting(expected: int, counted: int, item: str = "board", hours: int = 1) -> Counting:
    return Counting(item, NOON + timedelta(hours=hours), expected, counted)


def test_three_of_forty_cards_short_is_more_than_slips_of_one_in_a_hundred() -> None:
    found = reckon(week(3, 40), asking(["board"])).whole
    oracle = stats.binomtest(3, 40, 0.01, alternative="greater").pvalue
    bounds = stats.binomtest(3, 40).proportion_ci(0.95, "exact")
    assert found.by_slips == pytest.approx(oracle)
    assert (found.low, found.high) == pytest.approx((bounds.low, bounds.high), rel=1e-6)
    assert found.state == "look into it"


def test_a_shop_that_slips_more_often_says_so_itself() -> None:
    assert reckon(week(3, 40), asking(["board"]), slips_one_in=10).whole.state == "as slips go"


def test_one_card_in_ten_short_is_too_little_to_tell_anything() -> None:
    assert reckon(week(1, 10), asking(["board"])).whole.state == "too few to tell"


def test_twelve_of_a_thousand_is_what_slips_look_like() -> None:
    assert reckon(week(12, 1000), asking(["board"])).whole.state == "as slips go"


def test_a_technician_whose_cards_stand_out_is_seen_beside_the_others() -> None:
    cards = [*week(5, 300, "AB"), *week(0, 300, "CD"), *week(0, 300, "EF")]
    rows = reckon(cards, asking(["board"])).by("technician")
    blind = stats.fisher_exact([[5, 295], [0, 600]], alternative="greater").pvalue
    assert rows[0].name == "AB"
    assert rows[0].by_blind_chance == pytest.approx(min(1.0, 6 * blind))  # smallest of six
    assert rows[0].state == "above the rest"
    assert {row.state for row in rows[1:]} == {"nothing missing"}


def test_a_long_list_raises_no_alarm_by_its_length() -> None:
    # 2 of 40 alone: slips of 1 in 100 do this 1 time in 16; of ten technicians one looks so.
    cards = [card for n in range(10) for card in week(2 if n == 0 else 0, 40, f"T{n}")]
    (worst, *_) = reckon(cards, asking(["board"])).by("technician")
    assert worst.name == "T0"
    assert worst.state != "look into it"


def test_a_count_that_finds_more_is_weighed_against_slips_and_the_other_items() -> None:
    items = ["board", "stick"]
    full = tuple(UseTold("manicure", name, 1) for name in items)
    cards = [CardTold(f"v{n}", NOON, "AB", ("manicure",), full) for n in range(200)]
    counts = [counting(50, 59), counting(40, 40, "stick")]
    first, second = reckon(cards, asking(items), counts).counts
    limits = stats.chi2.ppf([0.025, 0.975], [18, 20]) / 2 / 200  # Garwood 1936, per unit drawn
    assert (first.low, first.high) == pytest.approx(tuple(limits))
    slips = stats.poisson.sf(8, 2.0)
    share = stats.binomtest(9, 9, 0.5, alternative="greater").pvalue
    assert first.by_slips == pytest.approx(4 * slips)  # the smallest of four
    assert first.by_blind_chance == pytest.approx(3 * share)  # the second smallest
    assert (first.surplus, first.state) == (9, "more: look into it")
    assert (second.surplus, second.state) == (0, "as the ledger says")


def test_one_more_than_the_ledger_says_is_told_and_not_made_much_of() -> None:
    (row,) = reckon(week(0, 200), asking(["board"]), [counting(50, 51)]).counts
    assert (row.surplus, row.state) == (1, "more found")


def test_only_cards_before_the_last_count_can_have_been_seen_by_it() -> None:
    cards = week(3, 40)
    assert reckon(cards, asking(["board"]), [counting(50, 47)]).counts[0].missing == 3
    assert reckon(cards, asking(["board"]), [counting(50, 47, hours=-1)]).counts[0].missing == 0


@pytest.mark.slow
def test_shops_without_a_habit_raise_a_false_alarm_in_no_more_than_one_list_of_twenty() -> None:
    rng, weeks, alarms = Random(7), 400, 0
    for _ in range(weeks):
        cards = [
            card
            for who in ("AB", "CD", "EF", "GH", "IJ")
            for card in week(sum(rng.random() < 0.01 for _ in range(60)), 60, who)
        ]
        rows = reckon(cards, asking(["board"])).by("technician")
        alarms += any(row.state in ("look into it", "above the rest") for row in rows)
    # Holm 1979: at most 0.05; at exactly that, more than 31 of 400 come less than 1 time in 100.
    assert alarms <= stats.binom.ppf(0.99, weeks, 0.05)


def test_nothing_asked_nothing_counted_nothing_said() -> None:
    found = reckon([], asking(["board"]))
    assert (found.served, found.whole.cards, found.rows, found.counts) == (0, 0, (), ())


# --- the invented shop, worked out a second time with tables -------------------------------------


@pytest.fixture(scope="module")
def demo() -> ReuseGap:
    from consumables.paperwork.catalogue_folder import read_catalogue

    catalogue = read_catalogue(DEMO)
    book = shipped(catalogue.settings.rule_book)
    items = {item.item_id: item for item in catalogue.items}
    verdicts = {name: classify(item, book) for name, item in items.items()}
    return reckon(_demo_cards(), rule_of(catalogue.set_ups, items, verdicts))


def _sheet(name: str) -> pd.DataFrame:
    return pd.read_csv(DEMO / name, dtype=str, keep_default_na=False)


def _demo_cards() -> list[CardTold]:
    uses: dict[str, list[UseTold]] = {}
    for row in _sheet("past_use.csv").itertuples():
        uses.setdefault(row.visit, []).append(UseTold(row.service, row.item, int(row.quantity)))
    visits = _sheet("past_visits.csv")
    return [
        CardTold(
            row.visit,
            datetime.combine(date.fromisoformat(row.starts_on[:10]), time(12), UTC),
            row.technician,
            tuple(row.services.split(";")),
            tuple(uses.get(row.visit, ())),
        )
        for row in visits[visits["outcome"] == "served"].itertuples()
    ]


def test_every_abrasive_the_invented_shop_forgot_to_write_down_is_found(demo: ReuseGap) -> None:
    # Independent of the reckoning: join visits, set-ups and use as tables and look for holes.
    served = _sheet("past_visits.csv").query("outcome == 'served'")
    each = served.assign(service=served["services"].str.split(";")).explode("service")
    forgotten = ["emery-board", "padded-file", "grit-strip-180", "buffer-block"]
    set_ups = _sheet("set_ups.csv")
    asked = each.merge(set_ups[set_ups["item"].isin(forgotten)], on="service")
    asked = asked.groupby(["visit", "item"]).size()
    used = _sheet("past_use.csv").astype({"quantity": int})
    drawn = used.groupby(["visit", "item"])["quantity"].sum().reindex(asked.index, fill_value=0)
    holes = (asked - drawn).clip(lower=0)
    left_out = {(a.visit_id, a.item_id) for a in demo.missing}
    assert left_out == set(holes[holes > 0].index)
    assert len(demo.missing) == holes.sum()
    assert 0.005 < len(left_out) / len(served) < 0.02  # "about one visit in a hundred"


def test_the_invented_shop_slips_and_has_no_habit(demo: ReuseGap) -> None:
    whole = demo.whole
    oracle = stats.binomtest(whole.short, whole.cards, 0.01, alternative="greater").pvalue
    assert whole.by_slips == pytest.approx(oracle)
    assert whole.state == "as slips go"
    assert {row.state for row in demo.by("technician")} == {"as slips go"}
