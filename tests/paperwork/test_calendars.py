"""The calendar she already keeps becomes the book of visits, with nothing lost and nothing kept
that the desk does not need."""

import re
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consumables.errors import BadFile
from consumables.items.catalogue import CalendarWord, Service
from consumables.ledger.appointments import Appointment
from consumables.paperwork.calendars import read_appointments, read_calendar

WORDS = [
    CalendarWord("gel", "gel"), CalendarWord("gel removal", "removal"),
    CalendarWord("Manicure", "mani"), CalendarWord("mañana", "pedi"),
]  # fmt: skip
LISBON = "Europe/Lisbon"
FIRST, LAST = date(2026, 1, 1), date(2026, 12, 31)


def event(*lines: str, uid: str = "one", start: str = "DTSTART:20260302T100000") -> str:
    ends = [] if any(x.startswith(("DTEND", "DURATION")) for x in lines) else ["DURATION:PT45M"]
    titled = [] if any(x.startswith("SUMMARY") for x in lines) else ["SUMMARY:Manicure"]
    return "\r\n".join(["BEGIN:VEVENT", f"UID:{uid}", start, *ends, *titled, *lines, "END:VEVENT"])


def calendar(*parts: str) -> str:
    return "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//x//EN", *parts,
                        "END:VCALENDAR", ""])  # fmt: skip


def read(*parts: str, zone: str = LISBON, first: date = FIRST, last: date = LAST):
    return read_calendar(calendar(*parts), WORDS, zone, first, last)


def visits(*parts: str, **where: object) -> list[str]:
    return [f"{v.starts_at:%m-%d %H:%M}" for v in read(*parts, **where).appointments]


# ------------------------------------------------------------------ one visit


def test_an_event_becomes_a_visit_with_only_what_the_desk_needs():
    written = read(
        event("SUMMARY:Manicure + gel\\, Anna Bell 555-0100", "CREATED:20260214T233000Z",
              "SEQUENCE:2", "LOCATION:Her address", "ATTENDEE;CN=Anna Bell:mailto:a@example.com",
              "DESCRIPTION:Client: C017\\ntechnician: AB\\nallergic to strawberries")
    )  # fmt: skip
    lisbon = ZoneInfo(LISBON)
    assert written.appointments == (
        Appointment("one", datetime(2026, 3, 2, 10, tzinfo=lisbon),
                    datetime(2026, 3, 2, 10, 45, tzinfo=lisbon), ("mani", "gel"), "C017", "AB",
                    booked_on=date(2026, 2, 14), sequence=2),
    )  # fmt: skip
    assert "Bell" not in repr(written)
    assert "berries" not in repr(written)


def test_the_booking_day_is_the_shops_day_and_not_universal_times():
    (visit,) = read(event("CREATED:20260214T233000Z"), zone="Asia/Tokyo").appointments
    assert visit.booked_on == date(2026, 2, 15)


def test_a_visit_noted_afterwards_has_no_known_booking_day():
    (visit,) = read(event("CREATED:20260305T080000Z")).appointments
    assert visit.booked_on is None


def test_a_full_name_on_the_client_line_is_left_out_and_never_repeated():
    written = read(event("DESCRIPTION:client: Anna Marie Bell"))
    assert written.appointments[0].client == ""
    assert "2026-03-02 10:00: the line 'client:' holds no code" in written.warnings[0]
    assert "Bell" not in repr(written)


def test_notes_written_as_web_text_are_understood():
    (visit,) = read(event("DESCRIPTION:<p>client: C9</p><br>technician: CD<br/>")).appointments
    assert (visit.client, visit.technician) == ("C9", "CD")


def test_a_blank_client_line_does_not_take_the_next_line():
    (visit,) = read(event("DESCRIPTION:client:\\ntechnician: CD")).appointments
    assert (visit.client, visit.technician) == ("", "CD")


@pytest.mark.parametrize(
    ("title", "services"),
    [
        ("MANICURE", ("mani",)),
        ("Gel removal", ("removal",)),
        ("gel  Removal\\, then gel", ("removal", "gel")),
        ("Gel\\, manicure\\, gel", ("gel", "mani")),
        ("man\u0303ana", ("pedi",)),
    ],
)
def test_whole_words_of_the_title_name_the_services_longest_first(title, services):
    assert read(event(f"SUMMARY:{title}")).appointments[0].service_ids == services


def test_what_matches_no_word_is_listed_short_and_warned_of_by_time_only():
    written = read(
        event("SUMMARY:Lunch"), event("SUMMARY:Gelato with Ms. Bartholomew-Finch", uid="two")
    )
    assert written.appointments == ()
    assert written.unmapped == ("Lunch", "Gelato with Ms. Barthol…")
    (warning,) = written.warnings
    assert "left out: 2 (first: 2026-03-02 10:00, 2026-03-02 10:00)" in warning
    assert "Gelato" not in warning


def test_a_cancelled_visit_is_kept_as_cancelled():
    written = read(event("STATUS:CANCELLED"), event("STATUS:TENTATIVE", uid="two"))
    assert [v.cancelled for v in written.appointments] == [True, False]


def test_a_calendar_sent_as_a_cancellation_cancels_what_it_names():
    assert read("METHOD:CANCEL", event()).appointments[0].cancelled


# ------------------------------------------------------------------ zones


def test_floating_times_are_the_shops_own_times():
    (visit,) = read(event(), zone="America/Chicago").appointments
    assert visit.starts_at.isoformat() == "2026-03-02T10:00:00-06:00"


def test_universal_times_and_windows_zone_names_are_turned_into_shop_time():
    written = read(
        event(start="DTSTART:20260302T150000Z"),
        event(uid="two", start="DTSTART;TZID=Eastern Standard Time:20260302T100000"),
    )
    assert [f"{v.starts_at:%H:%M}" for v in written.appointments] == ["15:00", "15:00"]
    assert written.warnings == ()


def test_an_unknown_zone_is_read_as_shop_time_with_a_warning():
    written = read(event(start="DTSTART;TZID=Mars/Olympus:20260302T100000"))
    assert written.appointments[0].starts_at.isoformat() == "2026-03-02T10:00:00+00:00"
    assert written.warnings == (
        "The time zone 'Mars/Olympus' is not known; its times were read as Europe/Lisbon.",
    )


def zone_of_its_own(offset: str) -> str:
    return "\r\n".join(
        ["BEGIN:VTIMEZONE", "TZID:Our Zone", "BEGIN:STANDARD", "DTSTART:16010101T000000",
         f"TZOFFSETFROM:{offset}", f"TZOFFSETTO:{offset}", "END:STANDARD", "END:VTIMEZONE"]
    )  # fmt: skip


def test_a_zone_that_a_file_defines_for_itself_holds_for_that_file_only():
    ours = event(start="DTSTART;TZID=Our Zone:20260302T100000")
    assert visits(zone_of_its_own("+0300"), ours) == ["03-02 07:00"]
    assert visits(zone_of_its_own("+0500"), ours) == ["03-02 05:00"]


def test_a_calendar_set_to_another_zone_is_warned_of_when_its_times_float():
    written = read("X-WR-TIMEZONE:Asia/Tokyo", event())
    assert f"{written.appointments[0].starts_at:%H:%M}" == "10:00"
    assert "set to Asia/Tokyo" in written.warnings[0]


def test_a_floating_series_keeps_its_hour_when_clocks_change():
    # clocks in Lisbon go forward on 2026-03-29 (EU Directive 2000/84/EC: last Sunday in March)
    series = event("RRULE:FREQ=WEEKLY;COUNT=3", start="DTSTART:20260316T100000")
    written = read(series).appointments
    assert [f"{v.starts_at:%d %H:%M %z}" for v in written] == [
        "16 10:00 +0000", "23 10:00 +0000", "30 10:00 +0100",
    ]  # fmt: skip


# ------------------------------------------------------------------ series


def test_a_bare_until_date_means_the_whole_of_that_day():
    for until in ("20260304", "20260304T235959", "20260304T100000Z"):
        series = event(f"RRULE:FREQ=DAILY;UNTIL={until}")
        assert visits(series) == ["03-02 10:00", "03-03 10:00", "03-04 10:00"]


def test_an_until_at_the_end_of_time_never_ends():
    series = event("RRULE:FREQ=MONTHLY;UNTIL=99991231T235959")
    assert len(visits(series, zone="Pacific/Honolulu")) == 10


def test_a_moved_visit_keeps_the_identity_of_its_original_start():
    series = event("RRULE:FREQ=WEEKLY;COUNT=3")
    moved = event("RECURRENCE-ID:20260309T100000", "SEQUENCE:1", start="DTSTART:20260310T160000")
    before = read(series).appointments
    after = read(series, moved).appointments
    assert [v.visit_id for v in before] == [v.visit_id for v in after]
    assert before[1].visit_id == "one/20260309T100000Z"
    assert f"{after[1].starts_at:%m-%d %H:%M}" == "03-10 16:00"


def test_identity_does_not_depend_on_the_zone_an_export_writes():
    lisbon = event("RRULE:FREQ=DAILY;COUNT=2", start="DTSTART;TZID=Europe/Lisbon:20260702T100000")
    utc = event("RRULE:FREQ=DAILY;COUNT=2", start="DTSTART:20260702T090000Z")
    assert [v.visit_id for v in read(lisbon).appointments] == [
        v.visit_id for v in read(utc).appointments
    ]


def test_a_series_moved_from_a_day_on_keeps_each_visits_identity():
    series = event("RRULE:FREQ=WEEKLY;COUNT=4")
    later = event(
        "RECURRENCE-ID;RANGE=THISANDFUTURE:20260309T100000", start="DTSTART:20260309T140000"
    )
    before, after = read(series).appointments, read(series, later).appointments
    assert [v.visit_id for v in after] == [v.visit_id for v in before]
    assert [v.starts_at.hour for v in after] == [10, 14, 14, 14]


def test_one_visit_of_a_series_may_be_cancelled_and_another_taken_out():
    series = event("RRULE:FREQ=WEEKLY;COUNT=3", "EXDATE:20260316T100000")
    cancelled = event("RECURRENCE-ID:20260309T100000", "STATUS:CANCELLED",
                      start="DTSTART:20260309T100000")  # fmt: skip
    written = read(series, cancelled).appointments
    assert [(v.starts_at.day, v.cancelled) for v in written] == [(2, False), (9, True)]


def test_a_moved_visit_without_its_series_in_the_file_is_still_itself():
    moved = event("RECURRENCE-ID:20260309T100000", start="DTSTART:20260310T160000")
    assert [v.visit_id for v in read(moved).appointments] == ["one/20260309T100000Z"]


def test_extra_dates_and_left_out_dates_are_heeded():
    series = event("RDATE:20260305T120000,20260306T120000", "EXDATE:20260306T120000")
    assert visits(series) == ["03-02 10:00", "03-05 12:00"]


def test_of_two_versions_of_a_visit_the_later_stands():
    old = event("SEQUENCE:1", start="DTSTART:20260302T100000")
    new = event("SEQUENCE:2", start="DTSTART:20260303T110000")
    assert visits(old, new) == visits(new, old) == ["03-03 11:00"]
    stamped = [
        event(f"DTSTAMP:2026010{n}T000000Z", start=f"DTSTART:2026030{n}T100000") for n in (3, 2)
    ]
    assert visits(*stamped) == ["03-03 10:00"]


def test_only_visits_that_start_on_the_days_asked_for_are_read():
    series = event("RRULE:FREQ=DAILY", start="DTSTART;TZID=Asia/Tokyo:20260301T083000")
    days = {"first": date(2026, 3, 10), "last": date(2026, 3, 12)}
    assert visits(series, **days) == ["03-10 23:30", "03-11 23:30", "03-12 23:30"]


def test_far_more_visits_than_a_desk_can_serve_are_refused():
    rule = "RRULE:FREQ=DAILY;BYHOUR=" + ",".join(map(str, range(24)))
    busy = event(rule), event(rule, uid="two"), event(rule, uid="three")
    with pytest.raises(BadFile, match="At most 20000 events"):
        read(*busy)


# ------------------------------------------------------------------ files as they come

EXPORT = """\
BEGIN:VCALENDAR
PRODID:-//Invented//Export 1.0//EN
VERSION:2.0
METHOD:PUBLISH
X-WR-CALNAME:Desk
X-PUBLISHED-TTL:PT1H
BEGIN:VTIMEZONE
TZID:GMT Standard Time
X-LIC-LOCATION:Europe/London
BEGIN:STANDARD
DTSTART:16010101T020000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:16010101T010000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
END:DAYLIGHT
END:VTIMEZONE
BEGIN:VEVENT
UID:040000008200E00074C5B7101A82E00800000000
 B0A1C2D3E4F5
SUMMARY;LANGUAGE=en-gb:Manicu
 re and gel rem
\toval
DTSTART;TZID="GMT Standard Time":20260702T140000
DTEND;TZID="GMT Standard Time":20260702T151500
CREATED:20260601T090000Z
X-INVENTED-BUSY:YES
X-ALT-DESC;FMTTYPE=text/html:<html><body>note</body></html>
DESCRIPTION:Please ring twice.\\nclient: C0
 42\\n
BEGIN:VALARM
ACTION:DISPLAY
TRIGGER:-PT15M
DESCRIPTION:client: WRONG
END:VALARM
END:VEVENT
BEGIN:VTODO
UID:todo
SUMMARY:Order gel
END:VTODO
END:VCALENDAR
"""


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_an_export_with_folded_lines_windows_zones_and_private_lines_is_read(
    tmp_path, newline, mark
):
    path = tmp_path / "desk.ics"
    path.write_bytes((mark + EXPORT.replace("\n", newline)).encode("utf-8"))
    written = read_calendar(path, WORDS, "Europe/London", FIRST, LAST)
    (visit,) = written.appointments
    assert visit.visit_id == "040000008200E00074C5B7101A82E00800000000B0A1C2D3E4F5"
    assert visit.starts_at.isoformat() == "2026-07-02T14:00:00+01:00"
    assert visit.ends_at.isoformat() == "2026-07-02T15:15:00+01:00"
    assert (visit.service_ids, visit.client) == (("mani", "removal"), "C042")
    assert written.warnings == ()


def test_reading_the_same_calendar_twice_gives_the_same_values(tmp_path):
    path = tmp_path / "desk.ics"
    path.write_text(EXPORT)
    twice = [read_calendar(path, WORDS, LISBON, FIRST, LAST) for _ in range(2)]
    assert twice[0] == twice[1]


def test_several_calendars_in_one_file_are_one_book():
    both = calendar(event()) + calendar(event(uid="two", start="DTSTART:20260303T100000"))
    written = read_calendar(both, WORDS, LISBON, FIRST, LAST)
    assert [v.visit_id for v in written.appointments] == ["one", "two"]


def test_a_calendar_that_is_not_utf8_is_read_with_a_warning(tmp_path):
    path = tmp_path / "desk.ics"
    path.write_bytes(calendar(event("SUMMARY:mañana")).encode("cp1252"))
    written = read_calendar(path, WORDS, LISBON, FIRST, LAST)
    assert written.appointments[0].service_ids == ("pedi",)
    assert "not written in UTF-8" in written.warnings[0]


def test_a_broken_private_line_is_passed_over_with_a_warning():
    written = read(event("X-NOTE continues without a colon"))
    assert len(written.appointments) == 1
    assert written.warnings == ("Event 1 has a line that cannot be read; it was passed over.",)


def test_a_calendar_that_breaks_off_anywhere_is_refused_whole():
    whole = calendar(event(), event(uid="two")).strip()
    for kept in range(len(whole)):
        with pytest.raises(BadFile, match=r"export it again|BEGIN:VCALENDAR is expected"):
            read_calendar(whole[:kept], WORDS, LISBON, FIRST, LAST)
    assert len(read_calendar(whole, WORDS, LISBON, FIRST, LAST).appointments) == 2


@pytest.mark.parametrize("text", ["", "hello", "BEGIN:VEVENT\r\nEND:VEVENT\r\n", "\x00\x01"])
def test_what_is_no_calendar_is_refused(text):
    with pytest.raises(BadFile, match="BEGIN:VCALENDAR is expected"):
        read_calendar(text, WORDS, LISBON, FIRST, LAST)


@pytest.mark.parametrize(
    ("lines", "start", "sentence"),
    [
        (["DURATION:1h"], "DTSTART:20260302T100000", "'DURATION': Event 1"),
        (["DURATION:20260302T100000"], "DTSTART:20260302T100000", "such as PT1H30M"),
        ([], "DTSTART:2026-03-02", "'DTSTART': Event 1"),
        ([], "DTSTART:PT1H", "a date or a date and time"),
        ([], "X-START:20260302T100000", "'DTSTART': Event 1 .*missing"),
        ([], "DTSTART:20260302T100000\r\nDTSTART:20260303T100000", "stands twice"),
        ([], "DTSTART:02260302T100000", "1900-2190"),
        (["DTEND:20260302T093000"], "DTSTART:20260302T100000", "ends before it starts"),
        (["DTEND;VALUE=DATE:20260303"], "DTSTART:20260302T100000", "of one kind"),
        (["DURATION:P9999999D"], "DTSTART:20260302T100000", "at most 366 days"),
        (["RRULE:FREQ=DAILY;UNTIL=P1D"], "DTSTART:20260302T100000", "UNTIL is expected to be"),
        (["RRULE:FREQ=DAILY;UNTIL=20260303,20260304"], "DTSTART:20260302T100000", "one value"),
        (["RECURRENCE-ID:00010101T000000Z"], "DTSTART:20260302T100000", "1900-2190"),
        (["SEQUENCE:two"], "DTSTART:20260302T100000", "'SEQUENCE': Event 1"),
        (["EXRULE:FREQ=DAILY"], "DTSTART:20260302T100000", "EXRULE left the standard"),
        (["EXDATE:tomorrow"], "DTSTART:20260302T100000", "'EXDATE': Event 1"),
        (["RDATE;VALUE=PERIOD:20260303T100000Z/PT1H"], "DTSTART:20260302T100000", "'RDATE'"),
        (["RECURRENCE-ID:soon"], "DTSTART:20260302T100000", "'RECURRENCE-ID'"),
    ],
)
def test_an_event_that_contradicts_itself_is_named_but_its_title_is_not(lines, start, sentence):
    with pytest.raises(BadFile, match=sentence) as refusal:
        read(event(*lines, "SUMMARY:Manicure for Anna Bell", start=start))
    assert "Bell" not in str(refusal.value)


def test_an_event_without_an_identity_is_refused_because_it_would_count_twice():
    with pytest.raises(BadFile, match=r"'UID': Event 2 \(UID none, starts 2026-03-02 10:00\)"):
        read(event(), event(uid="two").replace("UID:two\r\n", ""))


# ------------------------------------------------------------------ either kind of book


def test_the_ending_of_the_name_tells_a_calendar_from_a_table(tmp_path: Path):
    services = [Service("mani", "Manicure", 45)]
    (tmp_path / "desk.ICS").write_text(calendar(event()))
    (tmp_path / "desk.csv").write_text(
        "visit,starts_on,services\none,2026-03-02T10:00,mani\ntwo,2027-03-02T10:00,mani\n"
    )
    books = [
        read_appointments(tmp_path / name, services, WORDS, LISBON, FIRST, LAST)
        for name in ("desk.ICS", "desk.csv")
    ]
    assert books[0] == books[1]
    with pytest.raises(BadFile, match=r"calendar \(\.ics\) or a table \(\.csv\)"):
        read_appointments(tmp_path / "desk.pdf", services, WORDS, LISBON, FIRST, LAST)


# ------------------------------------------------------------------ whatever comes

WHOLE = calendar(
    zone_of_its_own("+0300"),
    event("RRULE:FREQ=WEEKLY;COUNT=3;BYDAY=MO,TU", "EXDATE:20260316T100000", "SEQUENCE:1",
          "CREATED:20260101T000000Z", "DESCRIPTION:client: AB"),
    event("RECURRENCE-ID;RANGE=THISANDFUTURE:20260309T100000", start="DTSTART:20260309T140000"),
    event("RRULE:FREQ=YEARLY;UNTIL=20300101;BYMONTH=2", "RDATE:20260303T100000Z", uid="two",
          start="DTSTART;TZID=Our Zone:20260302T100000"),
)  # fmt: skip
TOKENS = re.findall(r"\w+|\W", WHOLE)
STRAY = st.sampled_from([*TOKENS, "", "0", "-1", "99999999999", "Z", "\0", "00000000", "P", "é"])


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(TOKENS) - 1), STRAY), min_size=1, max_size=3))
def test_a_garbled_calendar_is_read_or_refused_but_never_crashes(slips):
    tokens = list(TOKENS)
    for place, stray in slips:
        tokens[place] = stray
    try:
        written = read_calendar("".join(tokens), WORDS, LISBON, FIRST, LAST).appointments
    except BadFile:
        written = ()
    assert all(visit.starts_at <= visit.ends_at for visit in written)
    assert len({visit.visit_id for visit in written}) == len(written)
