"""Whole packs, price breaks, minimum orders, fees: the week's plan."""

from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.order_plan import LONGEST_COVER_DAYS, plan
from consumables.reorder.purchases import Need, price_of, shipping_of


def _supplier(name="a", minimum=0, fee=0, free=None):
    free = None if free is None else Decimal(free)
    return Supplier(name, name, {2: 1.0}, Decimal(minimum), Decimal(fee), free)


def _offer(name, supplier="a", item="file", size=10, price="1.00", breaks=None):
    packs, lower = breaks or (None, None)
    lower = None if lower is None else Decimal(lower)
    return Offer(name, supplier, item, size, Decimal(price), packs, lower)


def _need(item="file", position=0, level=20, offers=("f",), **more):
    more = {"daily_use": 1.0, **more}
    return Need(item, position, dict.fromkeys(offers, level), **more)


def _bought(found):
    return {
        line.offer.item_id: (line.offer.offer_id, line.packs)
        for order in found.orders
        for line in order.lines
    }


def test_the_fewest_packs_that_reach_the_level_are_ordered():
    assert _bought(plan([_need(position=5)], [_offer("f")], [_supplier()])) == {"file": ("f", 2)}


def test_nothing_is_ordered_when_what_is_there_suffices():
    assert plan([_need(position=20)], [_offer("f")], [_supplier()]).orders == ()


def test_the_cheapest_whole_packs_win_and_not_the_cheapest_unit():
    offers = [_offer("f"), _offer("g", size=1000, price="40.00")]
    found = plan([_need(offers=("f", "g"))], offers, [_supplier()])
    assert _bought(found) == {"file": ("f", 2)}
    assert found.orders[0].lines[0].second == (offers[1], Decimal("40.00"))


def test_a_price_break_that_costs_no_more_is_taken():
    offer = _offer("f", breaks=(3, "0.60"))
    found = plan([_need()], [offer], [_supplier()])
    assert _bought(found) == {"file": ("f", 3)}
    assert found.total == Decimal("1.80")


def test_a_price_break_past_the_cap_is_left():
    found = plan([_need(cap=25)], [_offer("f", breaks=(3, "0.60"))], [_supplier()])
    assert _bought(found) == {"file": ("f", 2)}


def test_a_break_the_cap_cannot_reach_does_not_add_packs():
    found = plan([_need(cap=35)], [_offer("f", breaks=(5, "0.10"))], [_supplier()])
    assert _bought(found) == {"file": ("f", 2)}


def test_ties_go_to_the_first_supplier_then_the_first_offer():
    offers = [_offer("z", "a"), _offer("y", "b"), _offer("x", "b")]
    found = plan([_need(offers=("x", "y", "z"))], offers, [_supplier("b"), _supplier("a")])
    assert _bought(found) == {"file": ("z", 2)}


def test_a_pack_half_of_which_goes_off_is_worth_half():
    offers = [_offer("f", size=20, price="1.50"), _offer("g", size=20, price="2.00")]
    need = _need(offers=("f", "g"), usable_share={"f": 0.5})
    assert _bought(plan([need], offers, [_supplier()]))["file"][0] == "g"


def test_a_cheaper_offer_that_comes_too_late_is_passed_over_once():
    offers = [_offer("cheap", "a", price="1.00"), _offer("fast", "b", price="2.00")]
    late = {"offers": ("cheap", "fast"), "bridge": {"cheap": 8}, "lead": {"cheap": 9, "fast": 1}}
    suppliers = [_supplier("a"), _supplier("b")]
    line = plan([_need(position=7, **late)], offers, suppliers).orders[0].lines[0]
    assert (line.offer.offer_id, line.too_late) == ("fast", "cheap")
    assert _bought(plan([_need(position=8, **late)], offers, suppliers))["file"][0] == "cheap"


def test_the_fast_offer_fills_up_to_the_level_of_the_cheap_one():
    levels, bridge = {"cheap": 40, "fast": 15}, {"cheap": 8}
    need = Need("file", 5, levels, daily_use=1.0, bridge=bridge, lead={"cheap": 9, "fast": 1})
    offers = [_offer("cheap", "a", price="1.00"), _offer("fast", "b", price="2.00")]
    line = plan([need], offers, [_supplier("a"), _supplier("b")]).orders[0].lines[0]
    assert (line.offer.offer_id, line.units, line.level) == ("fast", 40, 40)


def test_when_everything_comes_too_late_the_fastest_is_bought():
    offers = [_offer("cheap", "a", price="1.00"), _offer("fast", "b", price="2.00")]
    need = _need(
        offers=("cheap", "fast"),
        bridge={"cheap": 8, "fast": 3},
        lead={"cheap": 9, "fast": 2},
    )
    assert _bought(plan([need], offers, [_supplier("a"), _supplier("b")]))["file"][0] == "fast"


def test_a_line_does_not_move_to_a_supplier_that_comes_too_late():
    offers = [_offer("f", "a", price="1.00"), _offer("g", "b", price="1.10")]
    offers.append(_offer("r", "b", "remover", price="9.00"))
    needs = [_need(offers=("f", "g"), bridge={"g": 1}), _need("remover", offers=("r",))]
    found = plan(needs, offers, [_supplier("a", fee=5), _supplier("b", fee=5)])
    assert _bought(found)["file"] == ("f", 2)


def test_nothing_is_bought_past_its_use_by_cap():
    line = plan([_need(level=50, cap=33)], [_offer("f")], [_supplier()]).orders[0].lines[0]
    assert (line.units, line.capped, line.past_cap) == (30, True, False)


def test_booked_visits_are_served_even_if_part_of_the_smallest_pack_goes_off():
    offers = [_offer("f", size=10), _offer("g", size=50)]
    need = _need(level=30, cap=4, booked_level=12, offers=("f", "g"))
    line = plan([need], offers, [_supplier()]).orders[0].lines[0]
    assert (line.offer.offer_id, line.packs, line.past_cap) == ("f", 2, True)


def test_without_a_booked_visit_a_pack_that_would_go_off_is_named_and_not_bought():
    found = plan([_need(level=30, cap=4)], [_offer("f")], [_supplier()])
    assert found.orders == ()
    assert found.unmet[0][0] == "file"
    assert "smallest pack" in found.unmet[0][1]


def test_a_due_item_that_nobody_offers_is_named():
    found = plan([Need("file", 3, {}, level_unsold=5)], [], [_supplier()])
    assert found.unmet == (("file", "No supplier offers it."),)
    assert plan([Need("file", 5, {}, level_unsold=5)], [], []).unmet == ()


def test_a_small_order_moves_to_a_supplier_already_ordered_from():
    offers = [_offer("f", "a", price="1.00"), _offer("g", "b", price="1.50")]
    offers.append(_offer("r", "b", "remover", price="9.00"))
    needs = [_need(offers=("f", "g")), _need("remover", offers=("r",))]
    found = plan(needs, offers, [_supplier("a", fee=5), _supplier("b", fee=5)])
    assert _bought(found)["file"] == ("g", 2)
    assert found.orders[0].lines[0].moved_from == "a"
    apart = plan(needs, offers, [_supplier("a"), _supplier("b", fee=5)])
    assert _bought(apart)["file"] == ("f", 2)


def test_an_order_far_under_its_minimum_moves_rather_than_grows():
    offers = [_offer("f", "a", price="1.00"), _offer("g", "b", price="1.50")]
    offers.append(_offer("r", "b", "remover", price="9.00"))
    needs = [_need(offers=("f", "g")), _need("remover", offers=("r",))]
    found = plan(needs, offers, [_supplier("a", minimum=30), _supplier("b")])
    assert _bought(found)["file"] == ("g", 2)


def test_lines_move_together_when_only_the_last_one_saves_the_fee():
    items = ("brush", "file")
    offers = [_offer(f"{item}-a", "a", item) for item in items]
    offers += [_offer(f"{item}-b", "b", item, price="1.50") for item in (*items, "remover")]
    needs = [_need(item, offers=(f"{item}-a", f"{item}-b")) for item in items]
    needs.append(_need("remover", offers=("remover-b",)))
    found = plan(needs, offers, [_supplier("a", fee=5), _supplier("b", fee=5)])
    assert [order.supplier.supplier_id for order in found.orders] == ["b"]


def test_the_minimum_order_is_filled_with_what_would_run_out_first():
    offers = [_offer(item[0], item=item) for item in ("file", "liner", "brush")]
    needs = [_need(), _need("liner", 21, offers=("l",)), _need("brush", 40, offers=("b",))]
    found = plan(needs, offers, [_supplier(minimum=4)])
    # files last 20 days after their two packs, so one more is next; then liners with 21 days
    assert _bought(found) == {"file": ("f", 3), "liner": ("l", 1)}
    assert found.orders[0].below_minimum == 0


def test_a_minimum_that_cannot_be_met_sensibly_is_said():
    found = plan([_need(cap=20)], [_offer("f")], [_supplier(minimum=100)])
    assert _bought(found) == {"file": ("f", 2)}
    assert found.orders[0].below_minimum == Decimal(98)


def test_shipping_is_paid_until_it_is_free():
    supplier = _supplier(fee=5, free=30)
    assert [shipping_of(supplier, Decimal(n)) for n in (0, 29, 30)] == [0, 5, 0]


SUPPLIERS = [
    _supplier("a", minimum=20, fee=4, free=60),
    _supplier("b", fee=6),
    _supplier("c", minimum=8),
]


@st.composite
def _weeks(draw):
    """Up to six items, each with up to three offers of three suppliers."""
    needs, offers = [], []
    for number in range(draw(st.integers(1, 6))):
        item = f"item{number}"
        mine = []
        for _ in range(draw(st.integers(0, 3))):
            price = Decimal(draw(st.integers(10, 900))) / 100
            breaks = draw(st.none() | st.tuples(st.integers(2, 6), st.just(price * 3 / 4)))
            size = draw(st.sampled_from([1, 5, 10, 50]))
            supplier = draw(st.sampled_from("abc"))
            mine.append(_offer(f"{item}-{len(mine)}", supplier, item, size, str(price), breaks))
        offers += mine
        levels = {offer.offer_id: draw(st.integers(0, 80)) for offer in mine}
        needs.append(
            Need(
                item,
                draw(st.integers(0, 60)),
                levels,
                booked_level=draw(st.integers(0, 40)),
                daily_use=draw(st.floats(0, 5)),
                cap=draw(st.none() | st.integers(0, 120)),
                bridge={offer.offer_id: draw(st.integers(0, 30)) for offer in mine},
                lead={offer.offer_id: draw(st.integers(0, 9)) for offer in mine},
            )
        )
    return needs, offers


@given(_weeks())
def test_every_plan_keeps_the_rules(week):
    needs, offers = week
    found = plan(needs, offers, SUPPLIERS)
    by_item = {need.item: need for need in needs}
    lines = {line.offer.item_id: line for order in found.orders for line in order.lines}
    for item, line in lines.items():
        need = by_item[item]
        assert line.packs >= 1
        held = line.capped or line.past_cap or line.packs == line.fills_minimum
        assert need.position + line.units >= line.level or held
        assert need.cap is None or line.units <= need.cap or line.past_cap
        if line.too_late:
            assert need.position < need.bridge[line.too_late]
        if line.past_cap:
            assert need.position + line.units - line.offer.pack_size < need.booked_level
        if line.fills_minimum:
            cover = (need.position + line.units) / need.daily_use
            assert cover <= LONGEST_COVER_DAYS or line.packs > line.fills_minimum
    for need in needs:
        if need.levels and need.position < min(need.levels.values()):
            assert need.item in lines or need.item in dict(found.unmet)
        if need.position >= max(need.levels.values(), default=0) and need.item in lines:
            assert lines[need.item].fills_minimum == lines[need.item].packs
    for order in found.orders:
        assert order.goods == sum(line.cost for line in order.lines)


@given(_weeks(), st.integers(0, 999))
def test_the_sequence_of_needs_offers_and_suppliers_changes_nothing(week, seed):
    needs, offers = week
    mixed = [Random(seed).sample(part, len(part)) for part in (needs, offers, SUPPLIERS)]
    assert plan(*mixed) == plan(needs, offers, SUPPLIERS)


@given(_weeks())
def test_joining_orders_never_costs_more_than_buying_each_item_alone(week):
    needs, offers = week
    plain = [Supplier(s.supplier_id, "", {2: 1.0}, Decimal(0), s.shipping_fee) for s in SUPPLIERS]
    alone = [plan([need], offers, plain) for need in needs]
    bought = [line for one in alone for order in one.orders for line in order.lines]
    fees = {line.offer.supplier_id for line in bought}
    apart = sum(line.cost for line in bought)
    apart += sum(s.shipping_fee for s in plain if s.supplier_id in fees)
    assert plan(needs, offers, plain).total <= apart


@pytest.mark.parametrize(("packs", "price"), [(2, "2.00"), (3, "2.25"), (4, "3.00")])
def test_from_the_break_on_every_pack_has_the_lower_price(packs, price):
    assert price_of(_offer("f", breaks=(3, "0.75")), packs) == Decimal(price)
