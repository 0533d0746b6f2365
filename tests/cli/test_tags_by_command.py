"""What is written on the things themselves."""

from collections.abc import Callable
from typing import Any

from click.testing import Result


def test_a_board_says_do_not_reuse_and_a_nipper_says_how_it_is_washed(
    answer: Callable[..., dict[str, Any]],
) -> None:
    found = answer("tags", "board", "nipper")["tags"]
    boards = [tag for tag in found if tag["name"] == "board"]
    nippers = [tag for tag in found if tag["name"] == "nipper"]
    assert {tag["warning"] for tag in boards} == {"DO NOT RE-USE"}
    # ISO 15223-1, clause 5.4.2: do not re-use (device makers' symbol glossaries, three agreeing).
    assert {tag["symbol"] for tag in boards} == {"ISO 15223-1, 5.4.2"}
    assert {tag["use_by"] for tag in boards} >= {"2026-03-31", "2027-03-31"}
    assert [tag["code"] for tag in nippers][:2] == ["DESK:nipper-01", "DESK:nipper-02"]
    assert {tag["warning"] for tag in nippers} == {""}


def test_a_thing_nobody_has_described_is_tagged_for_one_client(
    answer: Callable[..., dict[str, Any]],
) -> None:
    (tag,) = answer("tags", "puzzle")["tags"]
    assert tag["warning"] == "DO NOT RE-USE"


def test_tags_come_as_a_list_to_print_from(run: Callable[..., Result]) -> None:
    lines = run("tags", "nipper", "--csv", "-").stdout.splitlines()
    assert lines[0].startswith("warning,category,after the client")
    assert any("DESK:nipper-01" in line for line in lines)


def test_tags_are_printed_on_sheets_of_either_paper(run: Callable[..., Result], tmp_path) -> None:
    for paper in ("a4", "letter"):
        sheet = tmp_path / f"{paper}.pdf"
        done = run("tags", "nipper", "board", "--pdf", str(sheet), "--paper", paper, "--skip", "2")
        assert done.exit_code == 0, done.output
        assert sheet.read_bytes().startswith(b"%PDF")
        assert "not fitted to the page" in done.stderr


def test_a_sheet_may_go_into_a_pipe_and_is_the_same_each_time(run: Callable[..., Result]) -> None:
    words = ("tags", "nipper", "--pdf", "-", "--grid", "letter-66.7x25.4", "--outline")
    once, again = run(*words), run(*words)
    assert once.exit_code == 0, once.output
    assert once.stdout_bytes.startswith(b"%PDF")
    assert once.stdout_bytes == again.stdout_bytes


def test_a_shop_prints_on_its_own_grid(run: Callable[..., Result], tmp_path) -> None:
    own = tmp_path / "grids.toml"
    own.write_text(
        'bench = { paper = "a4", columns = 2, rows = 5, label_width_mm = 90, label_height_mm = 50, '
        "left_mm = 10, top_mm = 10, column_gap_mm = 5, row_gap_mm = 2 }"
    )
    sheet = str(tmp_path / "tags.pdf")
    assert run("tags", "nipper", "--pdf", sheet, "--grids", str(own)).exit_code == 0
    own.write_text(own.read_text().replace("rows = 5", "rows = 6"))
    done = run("tags", "nipper", "--pdf", sheet, "--grids", str(own))
    assert done.exit_code == 3
    assert "grids.toml" in done.stderr


def test_what_cannot_be_printed_is_said_and_no_file_is_left(run, tmp_path) -> None:
    sheet = tmp_path / "tags.pdf"
    for words, code in (
        (("--grid", "a4-1x1"), 1),
        (("--skip", "99"), 1),
        (("--paper", "letter", "--grid", "a4-70x37"), 1),
        (("--font", "nowhere.ttf"), 3),
    ):
        assert run("tags", "nipper", "--pdf", str(sheet), *words).exit_code == code
        assert not sheet.exists()
    assert run("tags", "nipper", "--pdf", str(tmp_path / "no" / "tags.pdf")).exit_code == 1
    assert run("tags", "nipper", "--skip", "3").exit_code == 2


def test_containers_carry_the_words_of_the_book(run, answer: Callable[..., dict[str, Any]]) -> None:
    run("wash", "mix", "concentrate", "--total", "1000", "--water", "64")
    found = answer("tags", "--containers")["containers"]
    (jar,) = (label for label in found if label["mixed"])
    assert (jar["contents"], jar["dilution"]) == ("concentrate", "1 part to 64 parts of water")
    assert "used tools" in {label["container"] for label in found}
    assert "Disinfectant Solution" in run("tags", "--containers").stdout
    assert run("tags", "--containers", "--csv", "-").stdout.startswith("words,contents,dilution")
    assert run("tags", "acetone", "--containers", "--pdf", "-").stdout_bytes.startswith(b"%PDF")


def test_a_bottle_serves_many_and_carries_no_mark(answer: Callable[..., dict[str, Any]]) -> None:
    (tag,) = answer("tags", "acetone")["tags"]
    assert (tag["warning"], tag["symbol"]) == ("", "")
    assert tag["category"] == "A portion for each client"
    assert tag["after_the_client"] == "Never back into its container"
