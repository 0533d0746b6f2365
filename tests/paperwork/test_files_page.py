"""The page that explains the files names every column, and its examples are real files."""

import re
from dataclasses import fields
from datetime import date
from pathlib import Path

import pytest

from consumables.errors import BadFile
from consumables.paperwork.calendars import read_appointments
from consumables.paperwork.catalogue_folder import read_catalogue
from consumables.paperwork.history_folder import read_history
from consumables.paperwork.order_paper import OrderPaperLine
from consumables.paperwork.sheet_forms import APPOINTMENTS, CATALOGUE, HISTORY, SETTINGS
from consumables.paperwork.units import PACK_UNITS

PAGE = (Path(__file__).parents[2] / "docs" / "files.md").read_text("utf-8")
SECTIONS = {
    part.partition("\n")[0].strip("# `"): part for part in re.split(r"^(?=##)", PAGE, flags=re.M)
}


def described(section: str) -> dict[str, bool]:
    """The columns of a section's table, and whether each is needed."""
    rows = re.findall(r"^\| `(\w+)` \| (yes)? ?\|", SECTIONS[section], re.M)
    return {column: bool(needed) for column, needed in rows}


def example(section: str) -> str:
    return re.search(r"```\w+\n(.*?)```", SECTIONS[section], re.S)[1]


@pytest.mark.parametrize("form", [*CATALOGUE, *HISTORY, APPOINTMENTS], ids=lambda form: form.name)
def test_every_column_is_described_as_it_is_read(form):
    needed = {column: column in form.required for column in form.columns}
    assert described(f"{form.name}.csv") == needed


def test_every_setting_pack_unit_and_order_column_is_named():
    assert set(described("shop.toml")) == set(SETTINGS)
    assert all(f"`{unit}`" in SECTIONS["offers.csv"] for unit in PACK_UNITS)
    written = SECTIONS["Files the desk writes"]
    assert all(f"`{column.name}`" in written for column in fields(OrderPaperLine))


@pytest.fixture
def quince(tmp_path: Path) -> Path:
    """The examples of the page as files in one folder."""
    names = [f"{form.name}.csv" for form in (*CATALOGUE, *HISTORY, APPOINTMENTS)]
    for name in ["shop.toml", *names]:
        (tmp_path / name).write_text(example(name), encoding="utf-8")
    (tmp_path / "desk.ics").write_text(example("A calendar (`.ics`)".strip("# `")))
    return tmp_path


def test_the_examples_are_one_shop_that_can_be_read(quince):
    shop = read_catalogue(quince)
    past = read_history(quince, shop)
    assert (len(shop.items), len(shop.offers), len(past.visits)) == (5, 3, 2)
    asked = (shop.services, shop.words, shop.settings.zone, date(2026, 1, 1), date(2026, 12, 31))
    table = read_appointments(quince / "appointments.csv", *asked)
    calendar = read_appointments(quince / "desk.ics", *asked)
    assert [v.cancelled for v in table.appointments] == [False, True]
    assert [(v.client, v.service_ids) for v in calendar.appointments] == [("C17", ("gel",))] * 4


def test_the_refusals_on_the_page_are_said_in_these_words(quince):
    offers = quince / "offers.csv"
    offers.write_text(offers.read_text().replace("north,sleeve", "north,bord"))
    with pytest.raises(BadFile) as refusal:
        read_catalogue(quince)
    assert str(refusal.value).partition("offers.csv")[2] in PAGE
    calendar = quince / "desk.ics"
    calendar.write_text(calendar.read_text().replace("WEEKLY", "HOURLY"))
    with pytest.raises(BadFile) as refusal:
        read_appointments(calendar, (), (), "UTC", date(2026, 1, 1), date(2026, 12, 31))
    assert str(refusal.value).partition("Event 1")[2] in PAGE.replace("Event 12", "Event 1")
