"""The symbols a tag carries, each drawn with lines of our own after ISO 15223-1; no font has them.

Which symbol means what: device makers' symbol glossaries, three agreeing; the shapes from memory
of the standard (do not re-use: a 2 in a circle, struck through; use-by date: an hourglass beside
the date; batch code: LOT in a box beside the code).
"""

from collections.abc import Callable, Mapping
from typing import Any

Canvas = Any  # reportlab brings no types
Symbol = Callable[[Canvas, float, float, float], None]


def do_not_reuse(canvas: Canvas, x: float, y: float, size: float) -> None:
    """ISO 15223-1, 5.4.2, in a square of `size` points whose lower left corner is (x, y)."""
    with _Drawn(canvas, x, y, size) as path:
        canvas.setLineWidth(0.075)
        canvas.circle(0.5, 0.5, 0.45)
        path.moveTo(0.33, 0.62)  # the 2: an arch, a sweep down, a foot
        path.curveTo(0.33, 0.86, 0.67, 0.86, 0.67, 0.62)
        path.curveTo(0.67, 0.48, 0.42, 0.40, 0.33, 0.23)
        path.lineTo(0.69, 0.23)
        canvas.drawPath(path)
        canvas.line(0.18, 0.82, 0.82, 0.18)


def use_by(canvas: Canvas, x: float, y: float, size: float) -> None:
    """ISO 15223-1, 5.1.4: an hourglass; the date is printed beside it."""
    with _Drawn(canvas, x, y, size) as path:
        canvas.setLineWidth(0.08)
        canvas.line(0.16, 0.94, 0.84, 0.94)
        canvas.line(0.16, 0.06, 0.84, 0.06)
        path.moveTo(0.24, 0.94)
        path.lineTo(0.76, 0.06)
        path.lineTo(0.24, 0.06)
        path.lineTo(0.76, 0.94)
        canvas.drawPath(path)


def lot(canvas: Canvas, x: float, y: float, size: float) -> None:
    """ISO 15223-1, 5.1.5: LOT in a box, twice as wide as high; the code is printed beside it."""
    with _Drawn(canvas, x, y, size) as path:
        canvas.setLineWidth(0.07)
        canvas.rect(0.06, 0.06, 1.88, 0.88)
        path.moveTo(0.34, 0.78)  # L
        path.lineTo(0.34, 0.22)
        path.lineTo(0.68, 0.22)
        path.moveTo(1.32, 0.78)  # T
        path.lineTo(1.74, 0.78)
        path.moveTo(1.53, 0.78)
        path.lineTo(1.53, 0.22)
        canvas.drawPath(path)
        canvas.ellipse(0.82, 0.22, 1.22, 0.78)


DRAWN: Mapping[str, tuple[Symbol, float]] = {  # what it is for -> how it is drawn, width in heights
    "do not re-use": (do_not_reuse, 1.0),
    "use-by": (use_by, 1.0),
    "lot": (lot, 2.0),
}


class _Drawn:
    """A square of one by one at its place; whatever happens, the page stays where it was."""

    def __init__(self, canvas: Canvas, x: float, y: float, size: float) -> None:
        self._canvas, self._place = canvas, (x, y, size)

    def __enter__(self) -> Any:
        x, y, size = self._place
        self._canvas.saveState()
        self._canvas.translate(x, y)
        self._canvas.scale(size, size)
        self._canvas.setLineCap(1)
        self._canvas.setLineJoin(1)
        return self._canvas.beginPath()

    def __exit__(self, *_: object) -> None:
        self._canvas.restoreState()
