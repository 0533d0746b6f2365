"""The small shop with published numbers on its packs (tests/reference/gtin_examples.csv)."""

from dataclasses import replace

from small_shop import CATALOGUE

from consumables.desk.opening import Desk

BOARD, ACETONE, NIPPER = "06291041500213", "09501101530003", "09521234543213"
NUMBERS = {"board-50": BOARD, "acetone-l": ACETONE, "nipper-1": NIPPER}
GS = "\x1d"


def give_bar_codes(desk: Desk) -> None:
    """Write the numbers at the offers."""
    offers = tuple(replace(o, gtin=NUMBERS.get(o.offer_id, "")) for o in CATALOGUE.offers)
    with desk.store.writing() as session:
        session.write_catalogue(replace(CATALOGUE, offers=offers))
    desk.forget()
