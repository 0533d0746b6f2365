"""The letters on paper: embedded, so that they print alike everywhere, and never a black box."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consumables.errors import BadFile, Refused

if TYPE_CHECKING:
    from collections.abc import Iterable

# The free letters that the PDF library brings along: those of Western Europe, and few beyond.
SHIPPED = ("Vera.ttf", "VeraBd.ttf")


@dataclass(frozen=True)
class Letters:
    """A plain and a bold face, registered under these names; both may be the same."""

    plain: str
    bold: str

    def width(self, text: str, size: float, bold: bool = False) -> float:
        """How wide a text prints, in points, at `size` points."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(text, self.bold if bold else self.plain, size))

    def refuse_unknown(self, texts: Iterable[str]) -> None:
        """Refuse texts with a letter that the faces lack, naming letter and text."""
        known = _glyphs(self.plain) & _glyphs(self.bold)
        for text in texts:
            lacking = [letter for letter in text if ord(letter) not in known]
            if lacking:
                raise Refused(
                    f"The letters that are printed have no '{_named(lacking[0])}', which stands "
                    f"in '{text}'. Write it in other letters, or name a TrueType file that has "
                    "it (--font FILE)."
                )


def letters(path: str = "") -> Letters:
    """The shipped faces, or one of the shop's own from a TrueType file; raises BadFile."""
    if not path:
        return Letters(*(_embed(Path(file).stem, file) for file in SHIPPED))
    if not Path(path).is_file():
        raise BadFile(path, None, "", "there is no such file; name a TrueType file (.ttf).")
    own = _embed(f"own-{Path(path).stem}", path)
    return Letters(own, own)


def _embed(name: str, file: str) -> str:
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    try:
        registerFont(TTFont(name, file))
    except (TTFError, OSError):
        raise BadFile(file, None, "", "this is no TrueType file (.ttf) that can be used.") from None
    return name


def _glyphs(name: str) -> frozenset[int]:
    from reportlab.pdfbase.pdfmetrics import getFont

    found: Any = getFont(name)
    return frozenset(found.face.charToGlyph)


def _named(letter: str) -> str:
    return letter if letter.isprintable() else f"U+{ord(letter):04X}"
