"""A sheet of labels by its own dimensions: how many, how large, and where the first one lies."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from importlib.resources import files
from pathlib import Path

from consumables.errors import BadFile, NotFound

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm; ISO 216, ANSI/ASME Y14.1
USUAL = {"a4": "a4-70x37", "letter": "letter-101.6x33.9"}
SMALLEST_MM = (38.0, 20.0)  # a name, a line and a code still fit on it
SHIPPED = "label_grids.toml"
_SLACK_MM = 0.25  # sheets are cut to no better than this


@dataclass(frozen=True)
class Grid:
    """Labels in columns and rows, counted from the top left corner; every length in mm."""

    name: str
    paper: str
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    left_mm: float
    top_mm: float
    column_gap_mm: float
    row_gap_mm: float

    @property
    def on_a_page(self) -> int:
        """How many labels one sheet holds."""
        return self.columns * self.rows

    @property
    def page_mm(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return PAPERS[self.paper]

    def corner_mm(self, place: int) -> tuple[float, float]:
        """The upper left corner of a label, from the paper's; places run along the rows from 0."""
        row, column = divmod(place, self.columns)
        return (
            self.left_mm + column * (self.label_width_mm + self.column_gap_mm),
            self.top_mm + row * (self.label_height_mm + self.row_gap_mm),
        )


def find_grid(paper: str = "", name: str = "", path: str = "") -> Grid:
    """The grid of this name, or the usual one of a paper (A4 unless said); `path`: a file of one's
    own. Raises NotFound with the names there are, BadFile where a file cannot be trusted."""
    known = _read(path) if path else shipped_grids()
    if path and not name and len(known) == 1:
        (name,) = known
    wanted = name or (USUAL[paper or "a4"] if not path else "")
    grid = known.get(wanted)
    if grid is None or (paper and grid.paper != paper):
        there = ", ".join(n for n, one in known.items() if paper in ("", one.paper)) or "none"
        asked = f"No grid {wanted}" if wanted else "Say which grid is meant: none"
        on = f" on {paper}" if paper else ""
        raise NotFound(f"{asked} is known{on}; there are: {there} (--grid NAME).")
    return grid


def shipped_grids() -> Mapping[str, Grid]:
    """The grids that come with the tool, by name."""
    text = files("consumables.paperwork").joinpath(SHIPPED).read_text(encoding="utf-8")
    return _grids(text, SHIPPED)


def _read(path: str) -> Mapping[str, Grid]:
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise BadFile(path, None, "", "a text file of label grids is expected.") from None
    return _grids(text, path)


def _grids(text: str, path: str) -> Mapping[str, Grid]:
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise BadFile(path, None, "", f"it is no TOML ({problem}).") from None
    if not tables:
        raise BadFile(path, None, "", "it holds no grid; see docs/tags.md.")
    return {name: _grid(name, table, path) for name, table in tables.items()}


def _grid(name: str, table: object, path: str) -> Grid:
    wanted = {field.name: field.type for field in fields(Grid) if field.name != "name"}
    if not isinstance(table, dict) or set(table) != set(wanted):
        odd = sorted(set(table) ^ set(wanted)) if isinstance(table, dict) else [name]
        raise BadFile(
            path, None, "", f"grid {name}: {', '.join(odd)} is missing, or is not known here."
        )
    for key, value in table.items():
        if not _holds(key, value):
            raise BadFile(path, None, "", f"grid {name}: {key} may not be {value!r}.")
    grid = Grid(name=name, **table)
    _refuse_misfit(grid, path)
    return grid


def _holds(key: str, value: object) -> bool:
    if key == "paper":
        return value in PAPERS
    if isinstance(value, bool):
        return False
    if key in ("columns", "rows"):
        return isinstance(value, int) and 1 <= value <= 100
    return isinstance(value, int | float) and 0 <= value <= 500


def _refuse_misfit(grid: Grid, path: str) -> None:
    x, y = grid.corner_mm(grid.on_a_page - 1)
    ends = (x + grid.label_width_mm, y + grid.label_height_mm)
    for end, room, side in zip(ends, grid.page_mm, ("wide", "high"), strict=True):
        if end > room + _SLACK_MM:
            what = f"grid {grid.name}: its labels end at {end:.1f} mm, the paper is {room} mm"
            raise BadFile(path, None, "", f"{what} {side}; measure the sheet again.")
    for size, least in zip((grid.label_width_mm, grid.label_height_mm), SMALLEST_MM, strict=True):
        if size < least:
            what = f"grid {grid.name}: a label of {grid.label_width_mm:g} x "
            what += f"{grid.label_height_mm:g} mm is too small to be read;"
            raise BadFile(
                path, None, "", f"{what} at least {SMALLEST_MM[0]:g} x {SMALLEST_MM[1]:g}."
            )
