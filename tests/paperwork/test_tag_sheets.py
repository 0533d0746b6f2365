"""Printed tags: readable by a scanner that is not ours, true to size, and never past their edge."""

import re
from typing import Any

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consumables.errors import BadFile, Refused
from consumables.items.tags import ContainerLabel, Tag, piece_of
from consumables.paperwork.fonts import letters
from consumables.paperwork.label_face import face_of, fit
from consumables.paperwork.label_grids import find_grid, shipped_grids
from consumables.paperwork.symbols import DRAWN
from consumables.paperwork.tag_sheets import tag_sheet

DPI = 200
MM = DPI / 25.4  # pixels
TRUE_TO_MM = 0.5
GRIDS = list(shipped_grids().values())


def piece(number: int, name: str = "Cuticle nipper") -> Tag:
    return Tag(
        name,
        "Disinfect between clients",
        "Wash, rinse, immerse in disinfectant",
        code=f"DESK:cuticle-nipper-{number:02d}",
    )


BOARD = Tag(
    "Emery board 100/180",
    "One client only",
    "In the bin",
    "DO NOT RE-USE",
    "ISO 15223-1, 5.4.2",
    "2027-03-31",
    "emery-board-261125-a3f",
    supplier_lot="K4-017",
)


def pages(pdf: bytes) -> list[Any]:
    """Each page as grey pixels, 0 black to 255 white."""
    read = pypdfium2.PdfDocument(pdf)
    return [np.asarray(page.render(scale=DPI / 72, grayscale=True).to_numpy()) for page in read]


def words(pdf: bytes) -> str:
    read = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_bounded() for page in read)


def ink_mm(page: Any) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is printed, in mm from the upper left corner."""
    rows, columns = np.nonzero(page.reshape(page.shape[:2]) < 128)
    box = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
    left, top, right, bottom = (float(edge) / MM for edge in box)
    return left, top, right, bottom


@pytest.mark.parametrize("grid", GRIDS, ids=lambda grid: grid.name)
def test_every_code_of_a_sheet_is_read_back_at_200_dpi(grid) -> None:
    tags = [piece(number) for number in range(grid.on_a_page)]
    (page,) = pages(tag_sheet(tags, grid, letters()))
    read = zxingcpp.read_barcodes(page.reshape(page.shape[:2]))
    assert sorted(piece_of(one.text) for one in read) == [piece_of(tag.code) for tag in tags]


@pytest.mark.parametrize("grid", GRIDS, ids=lambda grid: grid.name)
def test_each_label_lies_where_its_grid_says_to_half_a_millimetre(grid) -> None:
    for place in (0, grid.columns - 1, grid.on_a_page - 1):
        (page,) = pages(tag_sheet([piece(1)], grid, letters(), skip=place, outlines=True))
        left, top = grid.corner_mm(place)
        edges = (left, top, left + grid.label_width_mm, top + grid.label_height_mm)
        assert ink_mm(page) == pytest.approx(edges, abs=TRUE_TO_MM)
        height, width = page.shape[:2]
        assert (width / MM, height / MM) == pytest.approx(grid.page_mm, abs=TRUE_TO_MM)


long_words = st.text("abcdefghijklmnoprstuvwxyzABÉß -/0123456789", min_size=1, max_size=120)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(long_words, long_words, long_words, st.sampled_from(GRIDS))
def test_no_text_ever_runs_out_of_its_label(name, after, lot, grid) -> None:
    tag = Tag(
        name,
        "One client only",
        after,
        "DO NOT RE-USE",
        "x",
        "2027-03-31",
        lot,
        supplier_lot=lot[::-1],
    )
    middle = grid.on_a_page // 2
    (page,) = pages(tag_sheet([tag], grid, letters(), skip=middle))
    left, top = grid.corner_mm(middle)
    inner = (left + 1, top + 1, left + grid.label_width_mm - 1, top + grid.label_height_mm - 1)
    found = ink_mm(page)
    assert found[0] > inner[0]
    assert found[1] > inner[1]
    assert found[2] < inner[2]
    assert found[3] < inner[3]


@pytest.mark.parametrize("grid", GRIDS, ids=lambda grid: grid.name)
def test_use_by_lot_and_code_are_printed_whole(grid) -> None:
    said = words(tag_sheet([BOARD, piece(7)], grid, letters()))
    for text in ("2027-03-31", "K4-017", "emery-board-261125-a3f", "DESK:cuticle-nipper-07"):
        assert text in said
    assert "DO NOT RE-USE" in said


def test_a_long_name_is_cut_with_an_ellipsis_and_the_rest_stays_readable() -> None:
    face = face_of(piece(1, "Cuticle nipper with a very long name " * 4))
    placed = fit(face, 110, 80, letters())
    assert any(line.line.text.endswith("…") for line in placed)
    assert all(line.size >= 6 for line in placed if not line.line.whole)


def test_the_same_tags_are_the_same_bytes() -> None:
    once, again = (tag_sheet([piece(1), BOARD], GRIDS[0], letters()) for _ in range(2))
    assert once == again


def test_everything_on_a_tag_is_drawn_and_nothing_is_a_picture() -> None:
    pdf = tag_sheet([piece(1), BOARD], GRIDS[0], letters())
    assert b"/Subtype /Image" not in pdf
    page = pypdfium2.PdfDocument(pdf)[0]
    kinds = {found.type for found in page.get_objects()}
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds
    assert pypdfium2.raw.FPDF_PAGEOBJ_PATH in kinds


def test_the_letters_are_carried_in_the_file() -> None:
    assert b"/FontFile2" in tag_sheet([BOARD], GRIDS[0], letters())


@pytest.mark.parametrize(("name", "letter"), [("日 board", "日"), ("ő board", "ő")])
def test_a_letter_that_cannot_be_printed_is_named_and_no_box_is_printed(name, letter) -> None:
    with pytest.raises(Refused, match=re.escape(letter)):
        tag_sheet([piece(1, name)], GRIDS[0], letters())


def test_letters_of_western_europe_can_be_printed() -> None:
    said = words(tag_sheet([piece(1, "Łåçé ñ ß œuvre “Feile” – ½")], GRIDS[2], letters()))
    assert "Łåçé ñ ß œuvre “Feile” – ½" in said


def test_a_shop_may_bring_letters_of_its_own() -> None:
    import reportlab

    own = f"{reportlab.__path__[0]}/fonts/VeraIt.ttf"
    assert "Cuticle nipper" in words(tag_sheet([piece(1)], GRIDS[0], letters(own)))


def test_letters_of_ones_own_must_be_a_font(tmp_path) -> None:
    (tmp_path / "letter.ttf").write_text("Dear supplier")
    with pytest.raises(BadFile, match="TrueType"):
        letters(str(tmp_path / "letter.ttf"))
    with pytest.raises(BadFile, match="no such file"):
        letters(str(tmp_path / "nowhere.ttf"))


def test_a_begun_sheet_is_gone_on_with_and_the_next_one_starts_at_the_top() -> None:
    grid = find_grid()
    pdf = tag_sheet([piece(n) for n in range(3)], grid, letters(), skip=grid.on_a_page - 1)
    first, second = pages(pdf)
    assert ink_mm(first)[1] > grid.corner_mm(grid.on_a_page - 1)[1]
    assert ink_mm(second)[3] < grid.label_height_mm + grid.top_mm
    for skip in (-1, grid.on_a_page):
        with pytest.raises(Refused, match="skip 0 to 23"):
            tag_sheet([BOARD], grid, letters(), skip=skip)


def test_nothing_to_print_is_said() -> None:
    with pytest.raises(Refused, match="nothing to print"):
        tag_sheet([], GRIDS[0], letters())


def test_a_code_too_fine_to_be_read_is_refused() -> None:
    tag = Tag("nipper", "x", "y", code="DESK:" + "nipper-" * 20)
    with pytest.raises(Refused, match="larger grid"):
        tag_sheet([tag], find_grid(name="a4-48.5x25.4"), letters())


def test_the_struck_two_stands_on_what_serves_one_client_and_on_nothing_else() -> None:
    """ISO 15223-1, 5.4.2: do not re-use."""
    assert face_of(BOARD).symbol == "do not re-use"
    assert face_of(piece(1)).symbol == ""
    assert all(line.symbol != "do not re-use" for line in face_of(piece(1)).lines)
    own_kit = Tag("buffer", "One client only", "In the bin", "DO NOT RE-USE", code="DESK:b-1")
    assert any(line.symbol == "do not re-use" for line in face_of(own_kit).lines)


def test_use_by_and_lot_have_their_symbols_beside_them() -> None:
    """ISO 15223-1, 5.1.4 (hourglass) and 5.1.5 (LOT in a box)."""
    beside = {line.text: line.symbol for line in face_of(BOARD).lines if line.symbol}
    assert beside == {"2027-03-31": "use-by", "K4-017": "lot"}


@pytest.mark.parametrize("name", DRAWN)
def test_a_symbol_fills_the_room_it_is_given(name: str) -> None:
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    made, size = BytesIO(), 144.0
    canvas = Canvas(made, pagesize=(400, 300), invariant=1)
    draw, wide = DRAWN[name]
    draw(canvas, 50, 60, size)
    canvas.save()
    (page,) = pages(made.getvalue())
    left, top, right, bottom = (edge / 25.4 * 72 for edge in ink_mm(page))
    assert left >= 50
    assert right <= 50 + wide * size
    assert top >= 300 - 60 - size
    assert bottom <= 300 - 60
    assert right - left > 0.6 * wide * size


def test_a_jar_says_what_is_in_it_and_until_when() -> None:
    jar = ContainerLabel(
        "disinfectant container",
        "Disinfectant Solution",
        "Quat concentrate",
        "1 part to 64 parts of water",
        "Mixed 2026-11-25 08:10",
        "Change by 2026-11-26 08:10",
    )
    said = words(tag_sheet([jar], find_grid("letter"), letters()))
    for text in ("Disinfectant Solution", "Quat concentrate", "1 part to 64", "2026-11-26 08:10"):
        assert text in said
