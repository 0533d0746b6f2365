"""The record as a paper that an inspector reads at the counter: what it is, then line by line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from consumables.errors import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consumables.paperwork.fonts import Letters

PAPERS = ("a4", "letter")
COLUMNS = ("when", "who", "what", "things", "why, how, what was found", "visit")
# Share of the width of each column, where the things or the words beside them need the room.
MANY_THINGS = (10, 5, 12, 47, 14, 12)
MANY_WORDS = (10, 5, 13, 25, 35, 12)
_SIZE = 8.0  # points; read at arm's length
_TITLE = 15.0
_MARGIN_MM = 15.0
_FRAME = 6.0  # points that the library adds on each side


@dataclass(frozen=True)
class PaperSection:
    """One section: each row has one text for each of `COLUMNS`; `empty` is said without rows."""

    title: str
    rows: tuple[tuple[str, ...], ...]
    empty: str
    shares: tuple[int, ...] = MANY_WORDS
    said: tuple[str, ...] = ()  # sentences before the rows


@dataclass(frozen=True)
class RecordPaper:
    """Everything that stands on the paper, already in words."""

    title: str
    shop: str
    period: str
    head: tuple[tuple[str, str], ...]  # (label, text)
    outranked: str  # what stands above this tool
    cautions: tuple[str, ...]
    sections: tuple[PaperSection, ...]
    sealed: str  # the short digest, at the foot of every page


def record_pdf(paper: RecordPaper, size: str = "a4", font: str = "") -> bytes:
    """The paper as PDF, the same bytes for the same record. `size` is one of PAPERS; `font` the
    path of a TrueType file instead of the shipped letters.

    Raises Refused where the letters lack one that is needed, or where `size` is not known.
    """
    from io import BytesIO

    from reportlab.lib import pagesizes
    from reportlab.platypus import SimpleDocTemplate

    from consumables.paperwork.fonts import letters

    if size not in PAPERS:
        raise Refused(f"Paper is {' or '.join(PAPERS)}, not '{size}'.")
    face = letters(font)
    face.refuse_unknown(map(_plain, _texts(paper)))
    page = getattr(pagesizes, size.upper())
    margin = _MARGIN_MM / 25.4 * 72
    bound = BytesIO()
    document = SimpleDocTemplate(
        bound,
        pagesize=page,
        leftMargin=margin - _FRAME,
        rightMargin=margin - _FRAME,
        topMargin=margin,
        bottomMargin=margin + 12,
        title=f"{paper.title}, {paper.shop}, {paper.period}",
        author=paper.shop,
        invariant=1,  # no clock and no chance in the file: the same record is the same bytes
    )
    story = list(_story(paper, face, page[0] - 2 * margin))
    document.build(story, canvasmaker=_numbered(paper, face, margin))
    return bound.getvalue()


def _plain(text: str) -> str:
    """Typed line ends are spaces on paper; a space that may not break a line stays one."""
    return "".join(" " if sign in "\t\r\n" else sign for sign in text)


def _texts(paper: RecordPaper) -> Iterator[str]:
    yield from (paper.title, paper.shop, paper.period, paper.outranked, paper.sealed)
    yield from paper.cautions
    for label, text in paper.head:
        yield from (label, text)
    for section in paper.sections:
        yield from (section.title, section.empty, *section.said)
        for row in section.rows:
            yield from row


def _story(paper: RecordPaper, face: Letters, width: float) -> Iterator[Any]:
    from reportlab.platypus import Spacer

    write = _Writing(face)
    yield write.text(paper.title, _TITLE, bold=True)
    yield write.text(f"{paper.shop}, {paper.period}", 11, bold=True)
    yield Spacer(0, 6)
    yield _head(paper, write, width)
    yield Spacer(0, 6)
    yield write.text(paper.outranked, 9, bold=True)
    for caution in paper.cautions:
        yield write.text(f"Caution: {caution}", _SIZE)
    for section in paper.sections:
        yield from _section(section, write, width)
    yield Spacer(0, 28)
    yield write.text("Signed: ______________________     Day: ______________", 10)


class _Writing:
    """Texts set in the letters of this paper; a long word is broken, never run over its column."""

    def __init__(self, face: Letters) -> None:
        self._face = face
        self._styles: dict[tuple[float, bool], Any] = {}

    def text(self, words: str, size: float = _SIZE, bold: bool = False) -> Any:
        from xml.sax.saxutils import escape

        from reportlab.platypus import Paragraph

        return Paragraph(escape(_plain(words)), self._style(size, bold))

    def _style(self, size: float, bold: bool) -> Any:
        from reportlab.lib.styles import ParagraphStyle

        if (size, bold) not in self._styles:
            self._styles[size, bold] = ParagraphStyle(
                f"{size}{bold}",
                fontName=self._face.bold if bold else self._face.plain,
                fontSize=size,
                leading=size * 1.25,
                spaceAfter=size * 0.2,
                splitLongWords=1,
            )
        return self._styles[size, bold]


def _head(paper: RecordPaper, write: _Writing, width: float) -> Any:
    from reportlab.platypus import Table

    rows = [[write.text(label, 9, bold=True), write.text(text, 9)] for label, text in paper.head]
    return Table(rows, [width * 0.22, width * 0.78], style=_rules())


def _section(section: PaperSection, write: _Writing, width: float) -> Iterator[Any]:
    from reportlab.platypus import CondPageBreak, LongTable, Spacer

    yield CondPageBreak(60)  # a heading never stands alone at the foot of a page
    yield Spacer(0, 12)
    yield write.text(section.title, 11, bold=True)
    for sentence in section.said or ([] if section.rows else [section.empty]):
        yield write.text(sentence)
    if not section.rows:
        return
    whole = sum(section.shares)
    headings = [write.text(name, _SIZE, bold=True) for name in COLUMNS]
    rows = [[write.text(cell) for cell in row] for row in section.rows]
    widths = [width * share / whole for share in section.shares]
    yield LongTable([headings, *rows], widths, repeatRows=1, splitInRow=1, style=_rules())


def _rules() -> Any:
    from reportlab.lib.colors import Color
    from reportlab.platypus import TableStyle

    return TableStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 4),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, Color(0.6, 0.6, 0.6)),
        ]
    )


def _numbered(paper: RecordPaper, face: Letters, margin: float) -> type[Any]:
    """A canvas that knows how many pages there are before it writes the foot of the first."""
    from reportlab.pdfgen.canvas import Canvas

    class Numbered(Canvas):  # type: ignore[misc]
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._pages: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 - the library's own name
            self._pages.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._pages, start=1):
                self.__dict__.update(page)
                self._foot(f"page {number} of {len(self._pages)}")
                super().showPage()
            super().save()

        def _foot(self, number: str) -> None:
            self.setFont(face.plain, 7.5)
            told = f"{paper.shop}, {paper.period}, ledger {paper.sealed}"
            self.drawString(margin, margin - 2, told)
            self.drawRightString(self._pagesize[0] - margin, margin - 2, number)

    return Numbered
