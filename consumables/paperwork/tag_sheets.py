"""Sheets of labels to print and stick on: each as large as its grid says, each code readable."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from consumables.errors import Refused
from consumables.items.tags import ContainerLabel, Tag
from consumables.paperwork.fonts import Letters
from consumables.paperwork.label_face import BASELINE, Face, Placed, face_of, fit
from consumables.paperwork.label_grids import Grid
from consumables.paperwork.symbols import DRAWN

MM = 72 / 25.4  # points
INSET_MM = 2.0  # from a label's edge to what is printed on it
PRINTER_MM = 5.0  # a strip along the paper's edges that many printers leave white
QUIET = 4  # modules left white around a QR code (ISO/IEC 18004)
SMALLEST_MODULE_MM = 0.33  # common practice, no source: what phones and cheap scanners read
_QR_SHARE, _QR_MOST_MM = 0.42, 26.0
_SYMBOL_SHARE, _SYMBOL_MOST_MM = 0.24, 16.0
_GAP = 1.5 * MM


@dataclass(frozen=True)
class _Box:
    """A room on the page in points; (x, y) is its lower left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def top(self) -> float:
        return self.y + self.height


def tag_sheet(
    labels: Sequence[Tag | ContainerLabel],
    grid: Grid,
    letters: Letters,
    skip: int = 0,
    outlines: bool = False,
) -> bytes:
    """A PDF with one label after another, the same bytes each time.

    `skip` leaves the first places free, where a sheet was begun before. `outlines` draws each
    label's edge, to hold plain paper against the sheet. Raises Refused where there is nothing to
    print, a letter is lacking, or a code would be too fine to be read.
    """
    if not labels:
        raise Refused("There is nothing to print: no tag is asked for.")
    if not 0 <= skip < grid.on_a_page:
        raise Refused(f"A sheet has {grid.on_a_page} labels; skip 0 to {grid.on_a_page - 1}.")
    faces = [face_of(label) for label in labels]
    letters.refuse_unknown(line.text for face in faces for line in face.lines)
    made = BytesIO()
    canvas = _canvas(made, grid)
    for place, face in enumerate(faces, skip):
        if place > skip and place % grid.on_a_page == 0:
            canvas.showPage()
        edge = _edge(grid, place % grid.on_a_page)
        if outlines:
            canvas.setLineWidth(0.25)
            canvas.rect(edge.x, edge.y, edge.width, edge.height)
        _draw(canvas, face, _inside(grid, edge), letters)
    canvas.save()
    return made.getvalue()


def _canvas(made: BytesIO, grid: Grid) -> Any:
    from reportlab.pdfgen.canvas import Canvas

    width, height = grid.page_mm
    canvas = Canvas(made, pagesize=(width * MM, height * MM), invariant=1, pageCompression=1)
    canvas.setTitle(f"Tags, {grid.name}")
    return canvas


def _edge(grid: Grid, place: int) -> _Box:
    left, top = grid.corner_mm(place)
    bottom = grid.page_mm[1] - top - grid.label_height_mm
    width, height = grid.label_width_mm * MM, grid.label_height_mm * MM
    return _Box(left * MM, bottom * MM, width, height)


def _inside(grid: Grid, edge: _Box) -> _Box:
    # The same inset on every label of a grid, so that a sheet looks like one.
    (x, y), (page_width, page_height) = grid.corner_mm(grid.on_a_page - 1), grid.page_mm
    beside = min(grid.left_mm, page_width - x - grid.label_width_mm)
    above = min(grid.top_mm, page_height - y - grid.label_height_mm)
    across, down = (max(INSET_MM, PRINTER_MM - room) * MM for room in (beside, above))
    return _Box(edge.x + across, edge.y + down, edge.width - 2 * across, edge.height - 2 * down)


def _draw(canvas: Any, face: Face, room: _Box, letters: Letters) -> None:
    beside = 0.0
    if face.code:
        beside = min(room.height, _QR_SHARE * room.width, _QR_MOST_MM * MM)
        _draw_code(canvas, face.code, room.x + room.width - beside, room.top - beside, beside)
    elif face.symbol:
        beside = min(room.height, _SYMBOL_SHARE * room.width, _SYMBOL_MOST_MM * MM)
        draw, _ = DRAWN[face.symbol]
        draw(canvas, room.x + room.width - beside, room.top - beside, beside)
    width = room.width - (beside + _GAP if beside else 0)
    _write(canvas, fit(face, width, room.height, letters), room, letters)


def _write(canvas: Any, lines: Sequence[Placed], room: _Box, letters: Letters) -> None:
    top = room.top
    for placed in lines:
        foot = top - BASELINE * placed.size
        if placed.line.symbol:
            draw, _ = DRAWN[placed.line.symbol]
            draw(canvas, room.x, foot - 0.14 * placed.size, placed.size)
        canvas.setFont(letters.bold if placed.line.bold else letters.plain, placed.size)
        canvas.drawString(room.x + placed.indent, foot, placed.line.text)
        top -= placed.height


def _draw_code(canvas: Any, code: str, x: float, y: float, size: float) -> None:
    import segno

    rows = [
        bytes(row) for row in segno.make(code, micro=False, error="m", boost_error=False).matrix
    ]
    module = size / (len(rows) + 2 * QUIET)
    if module < SMALLEST_MODULE_MM * MM:
        raise Refused(
            f"The code {code} is too long for so small a label; choose a larger grid (--grid)."
        )
    path = canvas.beginPath()
    for down, row in enumerate(rows):
        for start, length in _runs(row):
            left, foot = x + (QUIET + start) * module, y + size - (QUIET + down + 1) * module
            path.rect(left, foot, length * module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def _runs(row: bytes) -> Iterator[tuple[int, int]]:
    """Dark stretches of one row of a code: where each begins and how long it is."""
    start = None
    for at, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = at
        elif not dark and start is not None:
            yield start, at - start
            start = None
