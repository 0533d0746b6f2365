"""Each shipped book says of each thing it names what the reference list says it says.

tests/reference/rules_books.csv holds the rows. A row names things in a word or two ("buffing
blocks"); THINGS says in plain words what such a thing is, so that the verdict rests on facts.
"""

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from consumables.items.classify import classify, classify_contaminated
from consumables.items.describe import describe_text
from consumables.items.item import Item
from consumables.items.rulebook_reader import shipped
from consumables.words import Category, Route

Row = dict[str, str]
ROWS: list[Row] = list(
    csv.DictReader((Path(__file__).parents[1] / "reference" / "rules_books.csv").open())
)
BOOKS = {
    "US-CA": "us-california",
    "US-TX": "us-texas",
    "US-IN": "us-indiana",
    "US-OH": "us-ohio",
    "US-IL": "us-illinois",
    "US-OK": "us-oklahoma",
    "US-IA": "us-iowa",
    "US-MI": "us-michigan",
    "US-MN": "us-minnesota",
    "CA-ON": "ca-ontario",
}
DISINFECT, ONCE = Category.DISINFECTABLE, Category.SINGLE_USE
ANSWERS = {
    "single-use": (ONCE, Route.BIN),
    "one-patron": (ONCE, Route.BIN),
    "single-use-sharps": (ONCE, Route.SHARPS),
    "clean-and-spray-reuse": (DISINFECT, Route.SPRAY),
    "disinfectable": (DISINFECT, Route.IMMERSE),
    "disinfectable-wipe": (DISINFECT, Route.WIPE),
    "sterilise-or-UV": (DISINFECT, Route.STERILISE),
}
# Rows about solutions, stores, records and equipment are parameters of a book, not verdicts; a
# whirlpool basin is part of the room and has no tag.
NOT_A_VERDICT = {"change", "store", "label", "record", "retain", "storage-only", "exempt"}
NOT_AN_ITEM = {
    "whirlpool / air-jet basin",
    "UV light box",
    "UV sterilizer / light box",
    "plastic sleeve for disinfected tools",
    "autoclave",
    "customer-supplied tool",
    "customer-supplied single-use item",
    "storing a customer's tools",
    "client kits",
}

THINGS: dict[str, tuple[str, ...]] = {
    "buffers": ("foam buffer",),
    "pumice stones": ("pumice stone",),
    "wax sticks": ("wax stick, wood",),
    "toe separators": ("foam toe separators", "silicone toe separators", "toe separators"),
    "gloves": ("nitrile gloves, may be immersed",),
    "cotton pads": ("cotton pads",),
    "sponges": ("sponge",),
    "emery boards": ("emery board",),
    "neck strips": ("neck strip",),
    'porous file stamped "disinfectable"': ("nail file, abrasive paper on wood, disinfectable",),
    "non-electrical instruments": ("steel nipper", "steel pusher", "glass nail file"),
    "metal pusher": ("metal pusher",),
    "metal file": ("metal nail file",),
    "cuticle nipper": ("steel cuticle nipper",),
    "scissors": ("steel scissors",),
    "metal tweezers": ("metal tweezers",),
    "finger and toe nail clippers": ("steel nail clipper", "steel toenail clipper"),
    "electric drill bits": ("carbide bit", "diamond bit", "steel drill bit"),
    "orangewood sticks": ("orangewood stick",),
    "cotton balls": ("cotton balls",),
    "nail wipes": ("nail wipe, nonwoven",),
    "disposable towels": ("paper towel", "disposable towel"),
    "buffer blocks": ("buffer block, foam",),
    "porous nail files": ("nail file, abrasive on foam", "nail file, abrasive paper on cardboard"),
    "pedicure files": ("pedicure file, abrasive on wood",),
    "callus rasps": ("metal callus rasp",),
    "natural pumice": ("pumice stone, natural",),
    "foot brush": ("foot brush, nylon",),
    "arbor": ("arbor, steel",),
    "sanding bands": ("sanding band",),
    "sleeves": ("sanding sleeve",),
    "heel and toe pumice": ("pumice stone",),
    "exfoliating block": ("exfoliating block, foam",),
    "metal instruments": ("metal spatula", "steel pusher"),
    "porous or single-use items not named in the rule": ("loofah", "wooden dish", "gauze"),
    "non-immersible electrical": ("electric lamp, hard plastic, not immersible",),
    "nonporous implements": ("steel nipper", "glass nail file", "steel spatula"),
    "porous nail file with blood/body fluid/unhealthy nail": ("nail file, abrasive on foam",),
    "metal electric file drill bits": ("carbide bit", "steel drill bit"),
    "sandpaper electric file bits": ("sandpaper bit", "sanding band"),
    "porous implements": ("foam buffer", "wood stick", "emery board", "loofah"),
    "non-porous implements": ("steel nipper, may be immersed", "silicone dish, may be immersed"),
    "towel used on blood": ("terry towel",),
    "cotton": ("cotton",),
    "gauze": ("gauze",),
    "tissues": ("tissue",),
    "paper towels": ("paper towel",),
    "wooden applicators and spatulas": ("wooden applicator", "wooden spatula"),
    "sanding bands or sleeves": ("sanding band", "sanding sleeve"),
    "nail file/emery board not entirely metal or glass": (
        "nail file, abrasive on foam",
        "emery board",
        "hard plastic nail file, may be immersed",
        "glass nail file, cork handle",
        "nail file",
    ),
    "buffing blocks": ("buffing block",),
    "flip-flops": ("rubber flip-flops, may be immersed",),
    "metal drill bits": ("steel drill bit", "carbide bit"),
    "callus blades, graters, rasps, razors": ("callus blade", "grater", "rasp", "razor"),
    "washable non-absorbent applicator": ("hard plastic applicator",),
    "wooden applicator": ("wooden applicator",),
    "chamois buffers": ("chamois buffer",),
    "razor-edged, grating or rasp pedicure tools": ("callus shaver", "foot grater", "foot rasp"),
    "abrasive boards/blocks/buffers": (
        "emery board",
        "buffer block",
        "nail file, abrasive on wood",
    ),
    "razor shavers, rasps, graters": ("callus shaver", "rasp", "grater"),
    "foam/sponge-core buffer blocks and files": ("foam buffer", "nail file, abrasive on sponge"),
    "hindostone": ("hindostone",),
    "orange sticks": ("orange stick",),
    "wooden cuticle pushers": ("wooden cuticle pusher",),
    "sand bands": ("sand band",),
    "foam toe separators": ("foam toe separators",),
    "slippers": ("foam slippers",),
    "glass/diamond nail files": ("glass nail file", "diamond nail file"),
    "cuticle nippers": ("steel cuticle nipper",),
    "nail clippers": ("steel nail clipper",),
    "foot paddles": ("varnished foot paddle, may be immersed", "steel foot paddle"),
    "pedi blade holders": ("steel pedi blade holder",),
    "razor blades": ("razor blade",),
    "metal, crystal, steel files": ("metal nail file", "crystal nail file", "steel nail file"),
    "reusable drill bits": ("steel drill bit",),
    "foot files": ("steel foot file", "varnished foot file, may be immersed"),
    "cardboard-core file": ("nail file, abrasive on cardboard",),
    "plastic-core file": ("nail file, abrasive on hard plastic",),
    "metal or glass file": ("metal nail file", "glass nail file"),
    "buffer blocks, toe separators, pumice": ("buffer block", "toe separators", "pumice stone"),
    "metal tools": ("metal pusher", "steel nipper"),
    "foot file": ("varnished foot file, may be immersed",),
}


def is_verdict(row: Row) -> bool:
    return row["verdict"] not in NOT_A_VERDICT and row["item_as_named"] not in NOT_AN_ITEM


def in_force() -> list[Row]:
    return [row for row in ROWS if row["book"] in BOOKS and is_verdict(row)]


def cases(*verdicts: str) -> list[tuple[Row, str]]:
    rows = [row for row in in_force() if row["verdict"] in verdicts]
    return [(row, thing) for row in rows for thing in THINGS[row["item_as_named"]]]


def by_words(value: object) -> str:
    return f"{value['book']} {value['item_as_named']}" if isinstance(value, dict) else str(value)


def item_of(thing: str) -> Item:
    """Described by its words alone, but without what "disposable" or a blade would decide."""
    return replace(describe_text(thing).item, do_not_reuse=False, sharp=False)


def test_every_verdict_row_of_a_shipped_book_is_tested() -> None:
    tested = cases(*ANSWERS) + cases("prohibited") + cases("discard-now")
    assert {id(row) for row, _ in tested} == {id(row) for row in in_force()}
    assert len(in_force()) == 100


@pytest.mark.parametrize(("row", "thing"), cases(*ANSWERS), ids=by_words)
def test_a_book_says_of_a_thing_what_its_text_says(row: Row, thing: str) -> None:
    book = shipped(BOOKS[row["book"]])
    category, route = ANSWERS[row["verdict"]]
    if "AND sterilise" in row["detail"]:
        route = Route.STERILISE
    verdict = classify(item_of(thing), book)
    assert (verdict.category, verdict.route) == (category, route)


@pytest.mark.parametrize(("row", "thing"), cases("one-patron"), ids=by_words)
def test_one_patron_only_means_no_kit_while_the_board_is_silent(row: Row, thing: str) -> None:
    book = shipped(BOOKS[row["book"]])
    verdict = classify(item_of(thing), book)
    assert not verdict.kit_allowed
    assert "whether that patron may have it again" in verdict.reasons[0].sentence


@pytest.mark.parametrize(("row", "thing"), cases("prohibited"), ids=by_words)
def test_what_a_book_bans_is_banned_there(row: Row, thing: str) -> None:
    verdict = classify(item_of(thing), shipped(BOOKS[row["book"]]))
    assert verdict.banned_here
    assert verdict.category is Category.SINGLE_USE
    assert verdict.reasons[0].cites[0].section in verdict.banned


@pytest.mark.parametrize(("row", "thing"), cases("discard-now"), ids=by_words)
def test_contaminated_porous_things_go_even_where_the_book_is_lenient(row: Row, thing: str) -> None:
    item = item_of(thing)
    verdict = classify(item, shipped(BOOKS[row["book"]]))
    assert verdict.category is Category.DISINFECTABLE
    assert classify_contaminated(verdict, item).discard_now


def test_the_cited_editions_and_addresses_stand_in_the_books() -> None:
    for row in in_force():
        book = shipped(BOOKS[row["book"]])
        addresses = {cite.address for rule in book.rules for cite in rule.cites}
        if row["section"] not in ("OAC 4713-15-03(A)-(D)", "Toronto Public Health Q&A"):
            assert row["address"] in addresses, row


@pytest.mark.parametrize(
    ("name", "parameter", "expected"),
    [
        ("us-oklahoma", "solution_change", ("daily", "cloudy")),
        ("us-ohio", "solution_change", ("daily", "cloudy")),
        ("us-california", "solution_change", ("weekly", "cloudy")),
        ("us-oklahoma", "uv_cabinet", "prohibited for sanitation"),
        ("us-minnesota", "uv_cabinet", "prohibited"),
        ("ca-ontario", "uv_cabinet", "storage only"),
        ("ca-ontario", "same_client_kits", "by-agreement"),
        ("us-minnesota", "same_client_kits", "no"),
        ("ca-ontario", "alcohol_accepted", True),
        ("ca-ontario", "retention_days", 3 * 365),
        ("us-iowa", "retention_days", 2 * 365),
        ("us-minnesota", "retention_days", 365),
        ("us-indiana", "contact_minutes", 10),
    ],
)
def test_a_book_carries_the_parameters_its_rows_give(
    name: str, parameter: str, expected: object
) -> None:
    assert getattr(shipped(name).parameters, parameter) == expected
