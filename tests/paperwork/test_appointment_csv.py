"""A book of visits kept as a table is read as strictly as the catalogue."""

from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from consumables.errors import BadFile
from consumables.items.catalogue import CalendarWord, Service
from consumables.ledger.appointments import Appointment
from consumables.paperwork.appointment_csv import read_appointment_csv

SERVICES = [Service("mani", "Manicure", 45), Service("gel", "Gel overlay", 75)]
WORDS = [CalendarWord("manicure", "mani"), CalendarWord("gel", "gel")]
LISBON = "Europe/Lisbon"
HEADER = "visit,starts_on,minutes,services,summary,client,technician,status,booked_on"


@pytest.fixture
def book(tmp_path: Path):
    """Read these rows under the full header."""

    def read(*rows: str, header: str = HEADER, zone: str = LISBON):
        path = tmp_path / "book.csv"
        path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
        return read_appointment_csv(path, SERVICES, WORDS, zone)

    return read


def test_a_row_becomes_a_visit(book):
    read = book("v1,2026-07-02T10:00,,mani;gel,,C17,AB,,2026-06-01")
    lisbon = ZoneInfo(LISBON)
    assert read.appointments == (
        Appointment("v1", datetime(2026, 7, 2, 10, tzinfo=lisbon),
                    datetime(2026, 7, 2, 12, tzinfo=lisbon), ("mani", "gel"), "C17", "AB",
                    booked_on=date(2026, 6, 1)),
    )  # fmt: skip


def test_given_minutes_stand_above_the_services_own(book):
    (visit,) = book("v1,2026-07-02T10:00,100,mani,,,,,").appointments
    assert visit.ends_at - visit.starts_at == timedelta(minutes=100)


def test_a_summary_is_mapped_by_the_calendar_words_and_an_unknown_one_left_out(book):
    read = book("v1,2026-07-02T10:00,,,Gel and manicure,,,,", "v2,2026-07-02T12:00,,,Lunch,,,,")
    assert [visit.service_ids for visit in read.appointments] == [("gel", "mani")]
    assert read.unmapped == ("Lunch",)
    assert read.warnings[0].startswith(
        "Rows whose summary holds no calendar word were left out: 1 (row 3)."
    )


def test_visits_come_sorted_and_a_cancelled_one_says_so(book):
    read = book("v2,2026-07-03T10:00,,mani,,,,cancelled,", "v1,2026-07-02T10:00,,mani,,,,Booked,")
    assert [(v.visit_id, v.cancelled) for v in read.appointments] == [("v1", False), ("v2", True)]


def test_an_offset_is_turned_into_shop_time(book):
    (visit,) = book("v1,2026-07-02T10:00:00-04:00,,mani,,,,,").appointments
    assert visit.starts_at.isoformat() == "2026-07-02T15:00:00+01:00"


def test_an_hour_that_comes_twice_is_its_first_and_one_that_is_skipped_is_refused(book):
    # EU Directive 2000/84/EC: in Lisbon 2026-10-25 has 01:30 twice, 2026-03-29 has none
    (visit,) = book("v1,2026-10-25T01:30,,mani,,,,,").appointments
    assert visit.starts_at.utcoffset() == timedelta(hours=1)
    assert visit.ends_at.isoformat() == "2026-10-25T01:15:00+00:00"
    with pytest.raises(BadFile, match="clocks in Europe/Lisbon skip this one"):
        book("v1,2026-03-29T01:30,,mani,,,,,")


@pytest.mark.parametrize(
    ("row", "column", "sentence"),
    [
        (",2026-07-02T10:00,,mani,,,,,", "visit", "A value is expected"),
        ("v0,2026-07-02T10:00,,mani,,,,,", "visit", "row 2 has it"),
        ("v1,,,mani,,,,,", "starts_on", "A value is expected"),
        ("v1,2026-07-02,,mani,,,,,", "starts_on", "A date and time"),
        ("v1,02/07/2026 10:00,,mani,,,,,", "starts_on", "A date and time"),
        ("v1,2026-07-02T25:00,,mani,,,,,", "starts_on", "A date and time"),
        ("v1,0226-07-02T10:00,,mani,,,,,", "starts_on", "A date and time"),
        ("v1,2026-07-02T10:00,0,mani,,,,,", "minutes", "from 1 to 1440"),
        ("v1,2026-07-02T10:00,,manni,,,,,", "services", "Did you mean 'mani'?"),
        ("v1,2026-07-02T10:00,,mani;mani,,,,,", "services", "once"),
        ("v1,2026-07-02T10:00,,,,,,,", "services", "Service ids, or a summary"),
        ("v1,2026-07-02T10:00,,mani,,Anna Bell,,,", "client", "full name is more"),
        ("v1,2026-07-02T10:00,,mani,,,Anna Bell,,", "technician", "full name is more"),
        ("v1,2026-07-02T10:00,,mani,,,,maybe,", "status", "booked, cancelled"),
        ("v1,2026-07-02T10:00,,mani,,,,,2026-07-03", "booked_on", "up to the visit"),
        ("v1,2026-07-02T10:00,,mani,,,,,soon", "booked_on", "A date such as"),
    ],
)
def test_a_bad_row_refuses_the_book_and_never_repeats_who_it_is_about(book, row, column, sentence):
    with pytest.raises(BadFile) as refusal:
        book("v0,2026-07-01T10:00,,mani,,,,,", row)
    said = str(refusal.value)
    assert f"book.csv, row 3, column '{column}'" in said
    assert sentence in said
    assert "Bell" not in said


def test_the_two_required_columns_are_named_when_missing(book):
    with pytest.raises(BadFile, match=r"row 1, column 'starts_on': This column is expected"):
        book("v1,mani", header="visit,services")
