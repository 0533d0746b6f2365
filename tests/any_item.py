"""Any thing anybody can describe, and any shipped book: what promises are tried on."""

from hypothesis import strategies as st

from consumables.items.item import Item, Part
from consumables.items.rulebook_reader import shipped, shipped_names
from consumables.items.trade_words import shipped_words

LISTED = ["steel", "glass", "hard plastic", "silicone", "diamond", "rubber", "nylon", "ceramic"]
PORES = ["foam", "wood", "abrasive paper", "cotton", "cork", "cardboard", "varnished abrasive"]
UNLISTED = ["", "zorbium", "steel with zorbium", "not known"]
KINDS = sorted(set(shipped_words().kinds.values()))

maybe = st.sampled_from([True, False, None])
seldom = st.sampled_from([False] * 9 + [True])  # else nearly every thing is decided by its mark
parts = st.builds(
    Part,
    name=st.sampled_from(["body", "surface", "core", "handle", "liner"]),
    material=st.sampled_from(LISTED * 4 + PORES * 2 + UNLISTED),
    porous=st.sampled_from([None, None, None, False, True]),
    removable=st.booleans(),
    touches_client=st.booleans(),
    supplied_as=st.sampled_from(["", "refill"]),
)
items = st.builds(
    Item,
    item_id=st.just("thing"),
    name=st.sampled_from(["thing", "steel nipper", "emery board", "callus rasp"]),
    kind=st.sampled_from(["", "odd thing", *KINDS]),
    parts=st.lists(parts, min_size=1, max_size=3).map(tuple),
    immersible=maybe,
    dispensed=seldom,
    launderable=st.booleans(),
    electric=seldom,
    sharp=seldom,
    do_not_reuse=seldom,
    label_says_washable=st.booleans(),
)
books = st.sampled_from(shipped_names()).map(shipped)
