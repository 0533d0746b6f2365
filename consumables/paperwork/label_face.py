"""What stands on one label, in sequence, and how words are made to fit: smaller, then shorter."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from consumables.items.tags import ContainerLabel, Tag
from consumables.paperwork.fonts import Letters
from consumables.paperwork.symbols import DRAWN

READABLE, SMALLEST = 6.0, 4.0  # points
ON_A_TAG, ON_A_CONTAINER = 10.0, 18.0  # points at most: a tag is read in the hand
LEADING, BASELINE = 1.22, 0.95  # of the size: from line to line, from a line's top to its letters
_STEP = 0.25
_SYMBOL_GAP = 0.35  # of the size
_MORE = "…"


@dataclass(frozen=True)
class Line:
    """One text of a label. `whole`: never broken; it is made smaller, and cut only at last."""

    text: str
    bold: bool = False
    scale: float = 1.0  # of the label's own size
    most: int = 1  # lines it may take
    symbol: str = ""  # drawn before it
    name: bool = False  # a name is still a name when its end is cut
    whole: bool = False


@dataclass(frozen=True)
class Face:
    """The lines of a label, and beside them a code or a symbol."""

    lines: tuple[Line, ...]
    code: str = ""
    symbol: str = ""
    largest: float = ON_A_TAG


@dataclass(frozen=True)
class Placed:
    """One printed line: its letters' size and the height it takes, in points."""

    line: Line
    size: float
    height: float
    cut: bool = False

    @property
    def indent(self) -> float:
        """Where the letters begin, behind the symbol."""
        return _indent(self.line, self.size)


def face_of(label: Tag | ContainerLabel) -> Face:
    """What stands on a label."""
    return _tag_face(label) if isinstance(label, Tag) else _container_face(label)


def fit(face: Face, width: float, height: float, letters: Letters) -> list[Placed]:
    """The lines as large as they fit into `width` and `height` points, never past either."""
    lines = face.lines
    cuts: tuple[tuple[float, float, Callable[[Line], bool]], ...] = (
        (face.largest, READABLE, lambda line: False),
        (face.largest, READABLE, lambda line: line.name),
        (READABLE, SMALLEST, lambda line: True),
    )
    for largest, smallest, may_be_cut in cuts:
        size = largest
        while size >= smallest:
            placed = [p for line in lines for p in _broken(line, size, width, letters)]
            spoilt = any(p.cut and not may_be_cut(p.line) for p in placed)
            if not spoilt and sum(p.height for p in placed) <= height:
                return placed
            size -= _STEP
    single = [replace(line, most=1) for line in lines]
    placed = [p for line in single for p in _broken(line, SMALLEST, width, letters)]
    return placed[: int(height // (SMALLEST * LEADING))]


def _tag_face(tag: Tag) -> Face:
    warning = "" if tag.code else "do not re-use"
    lines = (
        Line(tag.name, bold=True, scale=1.15, most=3, name=True),
        Line(tag.category, bold=True, most=2),
        Line(tag.after_the_client, most=2),
        Line(tag.warning, bold=True, symbol="" if warning else "do not re-use", whole=True),
        Line(tag.use_by, symbol="use-by", whole=True),
        Line(tag.supplier_lot, symbol="lot", whole=True),
        Line(tag.lot, scale=0.85, whole=True),
        Line(tag.code, whole=True),
    )
    return Face(tuple(x for x in lines if x.text), tag.code, warning if tag.warning else "")


def _container_face(label: ContainerLabel) -> Face:
    lines = (
        Line(label.words, bold=True, scale=1.5, most=2),
        Line(label.contents, bold=True, most=2, name=True),
        Line(label.dilution, most=2),
        Line(label.mixed, whole=True),
        Line(label.change_by, bold=True, whole=True),
        Line(label.container, scale=0.7, most=2),
    )
    return Face(tuple(line for line in lines if line.text), largest=ON_A_CONTAINER)


def _broken(line: Line, size: float, width: float, letters: Letters) -> Iterator[Placed]:
    size *= line.scale
    if line.whole:
        yield _shrunk(line, size, width, letters)
        return
    room = width - _indent(line, size)

    def fits(text: str) -> bool:
        return letters.width(text, size, line.bold) <= room

    texts, cut = _wrapped(line.text, line.most, fits)
    for text in texts:
        yield Placed(replace(line, text=text), size, size * LEADING, cut)


def _shrunk(line: Line, size: float, width: float, letters: Letters) -> Placed:
    def wide(at: float) -> float:
        return _indent(line, at) + letters.width(line.text, at, line.bold)

    while size > SMALLEST and wide(size) > width:
        size = max(SMALLEST, size - _STEP)
    room = width - _indent(line, size)
    text = _cut(line.text, lambda said: letters.width(said, size, line.bold) <= room)
    return Placed(replace(line, text=text), size, size * LEADING, text != line.text)


def _indent(line: Line, size: float) -> float:
    return (DRAWN[line.symbol][1] + _SYMBOL_GAP) * size if line.symbol else 0.0


def _wrapped(text: str, most: int, fits: Callable[[str], bool]) -> tuple[list[str], bool]:
    """A text in at most so many lines; the last one is cut where the rest does not fit."""
    words, lines = text.split(), [""]
    for at, word in enumerate(words):
        longer = f"{lines[-1]} {word}".strip()
        if fits(longer):
            lines[-1] = longer
        elif len(lines) < most and lines[-1] and fits(word):
            lines.append(word)
        else:
            rest = " ".join([lines[-1], *words[at:]]).strip()
            return [*lines[:-1], _cut(rest, fits)], True
    return lines, False


def _cut(text: str, fits: Callable[[str], bool]) -> str:
    if fits(text):
        return text
    short = text
    while short and not fits(short.rstrip() + _MORE):
        short = short[:-1]
    return short.rstrip() + _MORE
