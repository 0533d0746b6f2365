"""Repeated visits unfold to the very days that the iCalendar standard prints for its examples."""

import json
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from consumables.errors import BadFile
from consumables.items.catalogue import CalendarWord
from consumables.paperwork.calendars import read_calendar

REFERENCE = Path(__file__).parent.parent / "reference"
EXAMPLES = json.loads((REFERENCE / "rrule.json").read_text("utf-8"))["records"]
VALUES = {
    r["id"]: r for r in json.loads((REFERENCE / "ical_values.json").read_text("utf-8"))["records"]
}
BELOW_A_DAY = ("SECONDLY", "MINUTELY", "HOURLY")
WORDS = [CalendarWord("manicure", "mani")]
NEW_YORK = "America/New_York"


def calendar(*lines: str) -> str:
    """One event called 'Manicure' with these further lines."""
    event = ["BEGIN:VEVENT", "UID:one", "SUMMARY:Manicure", *lines, "END:VEVENT"]
    return "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", *event, "END:VCALENDAR", ""])


def example(record: dict) -> str:
    lines = [f"DTSTART;TZID={record['tzid']}:{record['dtstart']}", f"RRULE:{record['rrule']}"]
    lines += [f"EXDATE;TZID={record['tzid']}:{moment}" for moment in record["exdate"]]
    return calendar(*lines, "DURATION:PT1H")


def is_below_a_day(record: dict) -> bool:
    return any(f"FREQ={frequency}" in record["rrule"] for frequency in BELOW_A_DAY)


@pytest.mark.parametrize("record", [r for r in EXAMPLES if "dates" in r], ids=lambda r: r["id"])
def test_a_repeated_visit_falls_on_the_days_the_standard_prints(record):
    last = date.fromisoformat(record["last_listed"]) + timedelta(days=not record["open_ended"])
    read = read_calendar(example(record), WORDS, NEW_YORK, date(1997, 1, 1), last)
    assert [f"{v.starts_at:%Y-%m-%d}" for v in read.appointments] == record["dates"]
    assert {f"{v.starts_at:%H:%M}" for v in read.appointments} == {"09:00"}
    assert [f"{v.starts_at:%Z}" for v in read.appointments] == record["tznames"].split()
    assert len({v.visit_id for v in read.appointments}) == len(record["dates"])


def test_a_closed_series_of_the_standard_ends_where_it_ends():
    for record in (r for r in EXAMPLES if "dates" in r and not r["open_ended"]):
        read = read_calendar(example(record), WORDS, NEW_YORK, date(1997, 1, 1), date(2015, 1, 1))
        assert len(read.appointments) == len(record["dates"])


@pytest.mark.parametrize(
    "record",
    [r for r in EXAMPLES if "includes" in r and not is_below_a_day(r)],
    ids=lambda r: r["id"],
)
def test_several_starts_a_day_come_as_the_standard_prints_them(record):
    read = read_calendar(example(record), WORDS, NEW_YORK, date(1997, 9, 2), date(1997, 9, 3))
    starts = [f"{v.starts_at:%Y-%m-%dT%H:%M:%S%z}" for v in read.appointments]
    assert set(record["includes"]) <= set(starts)
    assert len(starts) == 2 * 24  # eight hours, three starts in each


@pytest.mark.parametrize(
    "record", [r for r in EXAMPLES if is_below_a_day(r)], ids=lambda r: r["id"]
)
def test_a_visit_that_repeats_within_the_day_is_refused_by_name(record):
    with pytest.raises(BadFile, match=r"'RRULE': Event 1 \(UID one, starts 1997-09-02 09:00\)"):
        read_calendar(example(record), WORDS, NEW_YORK, date(1997, 9, 1), date(1997, 9, 30))


@pytest.mark.parametrize(
    ("rule", "sentence"),
    [
        ("FREQ=SECONDLY", "FREQ=SECONDLY is refused"),
        ("FREQ=HOURLY;COUNT=2", "FREQ=HOURLY is refused"),
        ("FREQ=SOMETIMES", "cannot be read"),
        ("FREQ=WEEKLY;BYDAY=XX", "cannot be read"),
        ("FREQ=WEEKLY;COUNT=often", "cannot be read"),
        ("INTERVAL=2", "FREQ=. is refused"),
        ("FREQ=DAILY;INTERVAL=0", "at least 1"),
        ("FREQ=DAILY;COUNT=0", "at least 1"),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "never comes true"),
        ("FREQ=DAILY;BYSETPOS=2", "never comes true"),
        ("FREQ=DAILY;BYHOUR=25", "cannot be read"),
        ("FREQ=DAILY;BYMINUTE=" + ",".join(map(str, range(60))) + ";BYHOUR=9,10", "96 starts"),
    ],
)
def test_a_rule_without_sense_or_measure_names_its_event(rule, sentence):
    text = calendar("DTSTART:20260302T090000Z", f"RRULE:{rule}")
    with pytest.raises(BadFile, match=rf"Event 1 \(UID one, starts .*\): .*{sentence}"):
        read_calendar(text, WORDS, "UTC", date(2026, 3, 1), date(2026, 3, 31))


def test_a_day_that_comes_once_in_eight_years_is_still_a_day():
    text = calendar("DTSTART:20960229T090000Z", "RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29")
    read = read_calendar(text, WORDS, "UTC", date(2096, 1, 1), date(2104, 12, 31))
    assert [v.starts_at.year for v in read.appointments] == [2096, 2104]


# ------------------------------------------------------------------ lengths


def only_visit(*lines: str):
    (visit,) = read_calendar(
        calendar(*lines), WORDS, "UTC", date(1990, 1, 1), date(2030, 1, 1)
    ).appointments
    return visit


@pytest.mark.parametrize("name", ["dur-1", "dur-4"])
def test_a_duration_lasts_the_seconds_the_standard_gives(name):
    visit = only_visit("DTSTART:20260302T090000Z", f"DURATION:{VALUES[name]['duration']}")
    assert (visit.ends_at - visit.starts_at).total_seconds() == VALUES[name]["expected_seconds"]


def test_a_duration_that_runs_backwards_is_no_visit():
    assert VALUES["dur-3"]["expected_seconds"] < 0
    with pytest.raises(BadFile, match="ends before it starts"):
        only_visit("DTSTART:20260302T090000Z", f"DURATION:{VALUES['dur-3']['duration']}")


def test_the_end_is_the_first_moment_after_the_visit():
    visit = only_visit("DTSTART:20260302T090000Z", "DTEND:20260302T101500Z")
    assert (visit.ends_at - visit.starts_at) == timedelta(minutes=75)


def test_an_all_day_event_is_left_out_once_for_its_first_day_only():
    days = VALUES["allday-11"]
    text = calendar(f"DTSTART;VALUE=DATE:{days['dtstart']}", f"DTEND;VALUE=DATE:{days['dtend']}")
    read = read_calendar(text, WORDS, "UTC", date(2007, 6, 1), date(2007, 7, 31))
    assert read.appointments == ()
    assert read.warnings == (
        "All-day events are no visits and were left out: 1 (first: 2007-06-28).",
    )


def test_a_line_break_in_the_notes_is_read_as_the_standard_writes_it():
    written = VALUES["text-escape"]
    assert written["text"].count("\n") == written["expected_encoded"].count("\\n")
    notes = written["expected_encoded"] + "\\nclient: C17\\ntechnician: AB"
    visit = only_visit("DTSTART:20260302T090000Z", f"DESCRIPTION:{notes}")
    assert (visit.client, visit.technician) == ("C17", "AB")


def test_the_same_hour_at_the_desk_all_year_round():
    text = calendar(
        f"DTSTART;TZID={NEW_YORK}:20260302T090000", "RRULE:FREQ=WEEKLY", "DURATION:PT1H"
    )
    read = read_calendar(text, WORDS, NEW_YORK, date(2026, 3, 1), date(2026, 11, 30))
    assert {f"{v.starts_at:%H:%M}-{v.ends_at:%H:%M}" for v in read.appointments} == {"09:00-10:00"}
    assert {v.starts_at.utcoffset() for v in read.appointments} == {
        timedelta(hours=-5), timedelta(hours=-4),
    }  # fmt: skip


def test_a_duration_of_two_hours_is_exact_on_the_night_clocks_go_forward():
    # RFC 5545, 3.3.6: hours are exact, days are nominal; US clocks skip 02:00-03:00 on 2026-03-08
    start = f"DTSTART;TZID={NEW_YORK}:20260308T013000"
    assert only_visit(start, "DURATION:PT2H").ends_at == datetime.fromisoformat(
        "2026-03-08T04:30:00-04:00"
    )
    assert only_visit(start, "DURATION:P1D").ends_at == datetime.fromisoformat(
        "2026-03-09T01:30:00-04:00"
    )


def test_a_rule_that_lands_on_a_skipped_hour_has_no_visit_there():
    # RFC 5545, 3.3.10: instances at a local time that does not exist are ignored
    text = calendar(f"DTSTART;TZID={NEW_YORK}:20260301T023000", "RRULE:FREQ=WEEKLY;COUNT=3")
    read = read_calendar(text, WORDS, NEW_YORK, date(2026, 3, 1), date(2026, 3, 31))
    assert [v.starts_at.day for v in read.appointments] == [1, 15]
