"""The inspector's visit by command: the record, its seal, and how long codes are kept."""

import csv
import io
import json
from pathlib import Path

import pypdfium2
import pytest
from small_shop import put_in_book

from consumables.cli import recording
from consumables.desk.opening import open_desk
from consumables.desk.recording import SECTIONS


@pytest.fixture
def closed(run) -> None:
    """One manicure is over."""
    run("close", "v1")


def test_the_command_offers_the_sections_that_the_record_has() -> None:
    assert recording.SECTIONS == SECTIONS


@pytest.mark.usefixtures("closed")
def test_a_range_of_days_is_read(run, answer) -> None:
    on_the_day = answer("record", "--from", "2026-03-04", "--to", "2026-03-04")
    assert (on_the_day["first"], on_the_day["last"]) == ("2026-03-04", "2026-03-04")
    assert len(on_the_day["discards"]) == 2
    before = answer("record", "--from", "2026-02-01", "--to", "2026-03-03")
    assert before["discards"] == []
    assert (
        "Nothing is on record" in run("record", "--from", "2026-02-01", "--to", "2026-03-03").stderr
    )
    assert run("record", "--from", "2026-03-05", "--to", "2026-03-04").exit_code == 1
    assert run("record", "--from", "yesterday").exit_code == 2


@pytest.mark.usefixtures("closed")
def test_one_section_is_asked_for_by_its_name(run, answer) -> None:
    found = answer("record", "--section", "discards", "--section", "counts")["sections"]
    assert [section["name"] for section in found] == ["counts", "discards"]
    assert "used on one client" not in run("record", "--section", "counts").stdout


@pytest.mark.usefixtures("closed")
def test_the_sheet_names_section_visit_and_code(run) -> None:
    rows = list(csv.DictReader(io.StringIO(run("record", "--csv", "-").stdout)))
    assert {(row["section"], row["visit_id"], row["client"]) for row in rows} == {
        ("discards", "v1", "c01")
    }


@pytest.mark.usefixtures("closed")
def test_the_paper_carries_the_seal_that_check_prints(run, tmp_path: Path) -> None:
    paper = tmp_path / "record.pdf"
    assert run("record", "--pdf", str(paper), "--paper", "letter").exit_code == 0
    seal = run("check", "--digest").stdout.strip()
    text = pypdfium2.PdfDocument(paper)[0].get_textpage().get_text_bounded()
    assert seal.split(":")[1] in text.replace("\r\n", "").replace("\n", "")
    assert "Local law, the product label and the licence outrank this tool" in text
    assert run("check", "--against", seal).exit_code == 0
    assert run("record", "--pdf", str(tmp_path / "no" / "r.pdf")).exit_code == 1
    assert "%PDF" in run("record", "--pdf", "-").stdout_bytes[:8].decode()


@pytest.mark.usefixtures("closed")
def test_a_seal_that_does_not_match_ends_with_exit_code_1(run) -> None:
    number, seal = run("check", "--digest").stdout.strip().split(":")
    other = ("0" if seal[0] != "0" else "1") + seal[1:]
    done = run("check", "--against", f"{number}:{other}")
    assert done.exit_code == 1
    assert f"from 1 to {number}" in done.stdout
    assert run("check", "--digest", "--up-to", "99999").exit_code == 1


@pytest.mark.usefixtures("closed")
def test_seals_of_all_entries_are_kept_in_a_sheet(run, tmp_path: Path) -> None:
    sheet = str(tmp_path / "seals.csv")
    assert run("check", "--digest", "--csv", sheet).exit_code == 0
    assert run("check", "--against", sheet).exit_code == 0
    assert run("check", "--against", str(tmp_path / "none.csv")).exit_code == 3
    first = answer_of(run("check", "--digest", "--up-to", "1", "--json"))
    assert f"1,{first['digest']}" in Path(sheet).read_text(encoding="utf-8-sig")


def answer_of(done) -> dict[str, str]:
    found: dict[str, str] = json.loads(done.stdout)
    return found


def test_codes_past_retention_are_shown_and_purged_after_asking(run, answer, clock) -> None:
    run("close", "v1")
    clock.passes(60 * 24 * 1100)
    assert answer("retention")["retention"]["visits_past"] == 1
    for command in (("record",), ("check",), ("retention",)):
        assert "retention --purge" in run(*command).stderr
    assert run("retention", "--purge", stdin="n\n").exit_code == 130
    assert answer("retention")["retention"]["visits_past"] == 1
    assert run("retention", "--purge", stdin="y\n").exit_code == 0
    assert answer("retention")["retention"]["visits_past"] == 0
    assert "client codes purged" in run("record").stdout
    assert "No visit" in run("retention", "--purge", "--yes").stdout


def test_keeping_shorter_than_the_book_is_refused(run, answer) -> None:
    done = run("retention", "--keep", "30", "--purge", "--yes")
    assert done.exit_code == 1
    assert "shorter" in done.stderr
    assert answer("retention", "--keep", "5000")["retention"]["days"] == 5000


def test_a_purge_without_asking_purges(run, answer, clock, shop) -> None:
    clock.passes(60 * 24 * 1100)
    with open_desk(shop, "AB", clock) as desk:
        put_in_book(desk, "v2", ("manicure",), "c02")
    assert "1 visit" in run("retention", "--purge", "--yes").stdout
    assert [visit["client"] for visit in answer("today")["visits"]] == ["c02"]


@pytest.mark.usefixtures("closed")
def test_a_person_reads_folded_lines_and_a_pipe_one_row_a_line(run, monkeypatch) -> None:
    rows = [line for line in run("record").stdout.splitlines() if "used on one client" in line]
    assert len(rows) == 2
    monkeypatch.setattr("click.testing._NamedTextIOWrapper.isatty", lambda _stream: True)
    told = run("record").stdout
    assert "2026-03-04 12:00  AB  discarded, bin  v1 client c01\n" in told
    assert "    1 × board; 2 × gloves; used on one client\n" in told
