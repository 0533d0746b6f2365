"""The record on paper, read back by another reader (PDFium) than the one that wrote it."""

from dataclasses import replace

import pypdfium2
import pytest

from consumables.errors import BadFile, Refused
from consumables.paperwork.record_paper import (
    COLUMNS,
    MANY_THINGS,
    MANY_WORDS,
    PaperSection,
    RecordPaper,
    record_pdf,
)

MM = 72 / 25.4
ROW = ("2026-03-04 12:00", "AB", "discarded, bin", "2 × gloves", "used on one client", "v1")
PAPER = RecordPaper(
    title="Record of discards",
    shop="Atelier Ł. Čapková",
    period="2026-03-01 to 2026-03-07",
    head=(("Book in force", "Strict majority"), ("Kept for", "1095 days")),
    outranked="Local law, the product label and the licence outrank this tool.",
    cautions=("Do not work on infected skin; refer.",),
    sections=(
        PaperSection("Discarded: 1", (ROW,), "Nothing.", MANY_THINGS),
        PaperSection("Pieces retired: none", (), "Nothing of it in these days."),
    ),
    sealed="entry 118 c42c 4868 a2bb 4e22",
)


def opened(paper: RecordPaper, **how: str) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(record_pdf(paper, **how))


def pages(paper: RecordPaper, **how: str) -> list[str]:
    return [
        " ".join(page.get_textpage().get_text_bounded().split()) for page in opened(paper, **how)
    ]


def with_rows(*rows: tuple[str, ...]) -> RecordPaper:
    return replace(PAPER, sections=(PaperSection("Discarded", rows, "Nothing."),))


def test_everything_that_stands_on_the_paper_can_be_read() -> None:
    (page,) = pages(PAPER)
    told = [PAPER.title, PAPER.shop, PAPER.outranked, *PAPER.cautions, *COLUMNS, *ROW]
    told += [text for line in PAPER.head for text in line]
    told += ["Pieces retired: none", "Nothing of it in these days."]
    assert [text for text in told if text not in page] == []


def test_every_page_says_whose_it_is_its_number_and_the_seal() -> None:
    found = pages(with_rows(*[ROW] * 200))
    assert len(found) > 3
    for number, page in enumerate(found, start=1):
        assert f"page {number} of {len(found)}" in page
        assert PAPER.shop in page
        assert PAPER.sealed in page


def test_the_headings_of_the_columns_stand_on_every_page_with_rows() -> None:
    found = pages(with_rows(*[ROW] * 200))
    assert all("why, how, what was found" in page for page in found if "used on one" in page)


@pytest.mark.parametrize(("name", "wide", "high"), [("a4", 210, 297), ("letter", 215.9, 279.4)])
def test_the_paper_is_as_large_as_its_name_says(name: str, wide: float, high: float) -> None:
    """A4: ISO 216; Letter: ANSI Y14.1 (8.5 by 11 inches)."""
    assert opened(PAPER, size=name)[0].get_size() == pytest.approx((wide * MM, high * MM), abs=0.5)


def test_the_same_record_is_the_same_bytes() -> None:
    assert record_pdf(PAPER) == record_pdf(PAPER)
    assert record_pdf(PAPER) != record_pdf(replace(PAPER, shop="Another"))


@pytest.mark.parametrize("column", range(6))
@pytest.mark.parametrize("text", ["QQ QQQ " * 60, "Q" * 200], ids=["words", "unbroken"])
def test_a_long_text_is_broken_inside_its_column(column: int, text: str) -> None:
    long = tuple(text if at == column else cell for at, cell in enumerate(ROW))
    sheets = opened(with_rows(long))
    inner = sheets[0].get_size()[0] - 30 * MM
    left = 15 * MM + inner * sum(MANY_WORDS[:column]) / sum(MANY_WORDS)
    right = left + inner * MANY_WORDS[column] / sum(MANY_WORDS)
    mine = [edges for sheet in sheets for sign, edges in _letters(sheet) if sign == "Q"]
    assert len(mine) == text.count("Q")
    assert min(edges[0] for edges in mine) >= left - 0.5
    assert max(edges[2] for edges in mine) <= right + 0.5


def _letters(sheet: pypdfium2.PdfPage) -> list[tuple[str, tuple[float, ...]]]:
    """Each letter with its left, bottom, right and top edge, in points."""
    words = sheet.get_textpage()
    edges = [words.get_charbox(at) for at in range(words.count_chars())]
    return list(zip(words.get_text_range(), edges, strict=True))


def test_a_text_longer_than_a_page_goes_on_on_the_next() -> None:
    long = (*ROW[:4], "word " * 4000 + "the end", ROW[5])
    assert any("the end" in page for page in pages(with_rows(long)))


def test_signs_that_mean_something_to_a_typesetter_are_only_signs() -> None:
    (page,) = pages(with_rows((*ROW[:3], "<b>1 & 2</b> </para>", *ROW[4:])))
    assert "<b>1 & 2</b> </para>" in page


def test_a_line_end_that_somebody_typed_is_a_space() -> None:
    (page,) = pages(with_rows((*ROW[:4], "rust\r\nand\tpitting", ROW[5])))
    assert "rust and pitting" in page


@pytest.mark.parametrize("letter", ["日", "ж", "\u2603"])
def test_a_letter_that_cannot_be_printed_is_a_sentence_and_no_black_box(letter: str) -> None:
    with pytest.raises(Refused, match=f"no '{letter}'"):
        record_pdf(with_rows((*ROW[:3], f"board {letter}", *ROW[4:])))


def test_a_font_that_is_none_is_refused() -> None:
    with pytest.raises(BadFile):
        record_pdf(PAPER, font="no-such-font.ttf")


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(Refused, match="a4 or letter"):
        record_pdf(PAPER, "foolscap")
