"""Each shipped book says of each thing it names what the reference list says it says.

tests/reference/rules_books.csv holds the rows. A row names things in a word or two ("buffing
blocks"); THINGS says in plain words what such a thing is, so that the verdict rests on facts.
"""

import csv
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from consumables.items.classify import classify, classify_contaminated
from consumables.items.describe import describe_text
from consumables.items.item import Item
from consumables.items.rulebook_reader import shipped, shipped_names
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
    "US-NE": "us-nebraska",
    "CA-ON": "ca-ontario",
    "CA-MB": "ca-manitoba",
}
DISINFECT, ONCE = Category.DISINFECTABLE, Category.SINGLE_USE
ANSWERS = {
    "single-use": (ONCE, Route.BIN),
    "one-patron": (ONCE, Route.BIN),
    "single-use-sharps": (ONCE, Route.SHARPS),
    "clean-and-spray-reuse": (DISINFECT, Route.SPRAY),
    "disinfectable": (DISINFECT, Route.IMMERSE),
    "disinfectable-wipe": (DISINFECT, Route.WIPE),
    "clean-and-store": (DISINFECT, Route.STORE_CLEAN),
    "sterilise-or-UV": (DISINFECT, Route.STERILISE),
}
# Two rows have a way of their own: a basin is kept wet where it stands, and a blade that a
# checklist puts among the things for one client goes into the sharps box.
OWN_WAY = {
    ("US-CA", "whirlpool / air-jet basin"): Route.WIPE,
    ("CA-MB", "pedicure blades"): Route.SHARPS,
}
# Rows about solutions, stores, records and equipment are parameters of a book, not verdicts:
# (book, as named) -> parameter, and its value or words that stand in it.
PARAMETERS: dict[tuple[str, str], tuple[str, object]] = {
    ("US-CA", "disinfectant solution"): ("solution_change", ("weekly", "cloudy")),
    ("US-CA", "used instruments"): ("container_labels", "used tools"),
    ("US-CA", "disinfected instruments"): ("clean_store", "clean covered place that is labelled"),
    ("US-CA", "disinfectant container"): ("container_labels", "Disinfectant Solution"),
    ("US-CA", "new supplies, single-use tools"): ("container_labels", "'new supplies', 'New'"),
    ("US-CA", "pedicure equipment log"): ("foot_basin_log", True),
    ("US-TX", "UV cabinet"): ("uv_cabinet", "dry storage"),
    ("US-OH", "disinfectant"): ("solution_change", ("daily", "cloudy")),
    ("US-OH", "secondary containers"): ("container_labels", "'secondary container', '<contents>'"),
    ("US-OK", "disinfectant"): ("solution_change", ("daily", "cloudy")),
    ("US-OK", "UV light box"): ("uv_cabinet", "prohibited for sanitation"),
    ("US-OK", "secondary container"): ("container_labels", "<chemical name>"),
    ("US-OK", "disinfected implements"): (
        "clean_store",
        "sealed plastic bag or a closed container",
    ),
    ("US-IA", "plastic sleeve for disinfected tools"): ("clean_store", "only for sterilised tools"),
    ("US-IA", "foot-spa record"): ("retention_days", 2 * 365),
    ("US-MN", "UV sterilizer / light box"): ("uv_cabinet", "prohibited"),
    ("US-MN", "autoclave"): ("spore_test_days", 30),
    ("US-MN", "customer-supplied tool"): ("clients_own", "cleaned and disinfected first"),
    ("US-MN", "customer-supplied single-use item"): ("clients_own", "must be new"),
    ("US-MN", "storing a customer's tools"): ("same_client_kits", "no"),
    ("US-NE", "disinfectant"): ("solution_change", ("daily", "cloudy")),
    ("CA-ON", "client kits"): ("same_client_kits", "by-agreement"),
    ("CA-ON", "UV sterilizer"): ("uv_cabinet", "storage only"),
    ("CA-ON", "sterilisation and blood-exposure records"): ("retention_days", 3 * 365),
}
EXEMPT = "single-use and non-metal files, buffers, pumice, brushes"

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
    "whirlpool / air-jet basin": ("pedicure basin, hard plastic", "whirlpool basin, steel"),
    "cardboard files": ("nail file, abrasive on cardboard", "emery board"),
    "metal implements": ("steel nipper", "metal pusher", "steel drill bit"),
    "product application brush": ("gel brush, nylon", "acrylic brush, natural hair"),
    "pumice stone": ("pumice stone",),
    "nail buffers": ("nail buffer, foam", "nail buffer"),
    "pedicure blades": ("pedicure blade",),
    "pumice pads": ("pumice pad",),
    "glass/diamond nail file": ("glass nail file", "diamond nail file"),
    "scrub brushes": ("nylon scrub brush, may be immersed",),
    "tweezers": ("steel tweezers",),
    "nippers": ("steel nipper",),
    "metal nail drill bits": ("steel drill bit", "carbide bit"),
    "acrylic nail brush": ("acrylic nail brush, nylon on plastic, may be immersed",),
}


def is_verdict(row: Row) -> bool:
    named = (row["book"], row["item_as_named"])
    return named not in PARAMETERS and row["item_as_named"] != EXEMPT


def shipped_rows() -> list[Row]:
    return [row for row in ROWS if row["book"] in BOOKS]


def in_force() -> list[Row]:
    return [row for row in shipped_rows() if is_verdict(row)]


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
    assert len(in_force()) == 125
    assert len(in_force()) + len(PARAMETERS) + 1 == len(shipped_rows()) == 150


def test_every_body_that_names_five_verdicts_has_its_book() -> None:
    named = Counter(row["book"] for row in ROWS)
    assert {body for body, rows in named.items() if rows >= 5} <= set(BOOKS)


@pytest.mark.parametrize(("row", "thing"), cases(*ANSWERS), ids=by_words)
def test_a_book_says_of_a_thing_what_its_text_says(row: Row, thing: str) -> None:
    book = shipped(BOOKS[row["book"]])
    category, route = ANSWERS[row["verdict"]]
    route = OWN_WAY.get((row["book"], row["item_as_named"]), route)
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


@pytest.mark.parametrize("named", PARAMETERS, ids=" ".join)
def test_a_row_that_is_no_verdict_is_a_parameter_of_its_book(named: tuple[str, str]) -> None:
    (row,) = [row for row in ROWS if (row["book"], row["item_as_named"]) == named]
    parameters = shipped(BOOKS[row["book"]]).parameters
    parameter, expected = PARAMETERS[named]
    value = getattr(parameters, parameter)
    assert value == expected or (isinstance(expected, str) and expected in str(value))
    assert row["address"] in {cite.address for cite in parameters.cites}


def test_more_of_what_a_parameter_row_says() -> None:
    assert shipped("us-california").parameters.foot_basin_minutes == 10
    assert shipped("us-minnesota").parameters.retention_days == 365
    assert shipped("us-iowa").parameters.foot_basin_log
    ontario = shipped("ca-ontario").parameters
    assert "container" in ontario.kit_container
    assert "schedule" in ontario.kit_change
    assert ontario.alcohol_accepted is True  # Toronto: 70 % isopropyl for 10 minutes
    assert (ontario.contact_minutes, shipped("us-indiana").parameters.contact_minutes) == (10, 10)
    assert shipped("us-ohio").parameters.blood_waste == "double bag or biohazard container"


@pytest.mark.parametrize(
    "thing", ["foam buffer", "nail file, abrasive on foam", "pumice stone", "foot brush, nylon"]
)
def test_what_the_texas_statute_exempts_is_never_sent_to_the_steriliser(thing: str) -> None:
    assert EXEMPT in {row["item_as_named"] for row in shipped_rows()}
    assert classify(item_of(thing), shipped("us-texas")).route is not Route.STERILISE


def test_the_default_book_takes_the_strict_side_of_each_parameter() -> None:
    """Sides as compared in the reference notes: NV, MN, ON, NIC 2002, CA."""
    ours = shipped("strict-majority").parameters
    assert (ours.same_client_kits, ours.alcohol_accepted) == ("no", False)
    assert (ours.retention_days, ours.spore_test_days) == (3 * 365, 30)
    assert ours.foot_basin_log
    assert ours.steriliser_log
    assert "daily" in ours.solution_change
    assert "not disinfect" in ours.uv_cabinet


@pytest.mark.parametrize("name", shipped_names())
def test_every_book_says_where_its_parameters_stand(name: str) -> None:
    cites = shipped(name).parameters.cites
    assert cites
    assert all(cite.section and cite.checked_on for cite in cites)
