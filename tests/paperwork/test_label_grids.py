"""A sheet of labels is trusted only when its measures fit on the paper."""

from pathlib import Path

import pytest

from consumables.errors import BadFile, NotFound
from consumables.paperwork.label_grids import PAPERS, find_grid, shipped_grids

OWN = """
["bench-60x30"]
paper = "a4"
columns = 3
rows = 9
label_width_mm = 60
label_height_mm = 30.0
left_mm = 12.5
top_mm = 10
column_gap_mm = 2.5
row_gap_mm = 0
"""


@pytest.fixture
def own(tmp_path: Path):
    def write(text: str) -> str:
        path = tmp_path / "grids.toml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_every_shipped_grid_is_named_by_its_paper_and_its_own_dimensions() -> None:
    for name, grid in shipped_grids().items():
        assert name == f"{grid.paper}-{grid.label_width_mm:g}x{grid.label_height_mm:g}"


def test_papers_have_their_standard_size() -> None:
    assert PAPERS["a4"] == (210, 297)  # ISO 216
    assert PAPERS["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))  # ANSI/ASME Y14.1


def test_each_paper_has_its_usual_grid() -> None:
    assert find_grid().paper == "a4"
    assert find_grid("letter").paper == "letter"


def test_a_shop_may_bring_the_measures_of_its_own_sheet(own) -> None:
    grid = find_grid(path=own(OWN))
    assert (grid.name, grid.on_a_page) == ("bench-60x30", 27)
    assert grid.corner_mm(4) == (12.5 + 62.5, 40)


def test_a_grid_nobody_knows_is_told_with_those_there_are() -> None:
    with pytest.raises(NotFound, match="a4-70x37"):
        find_grid(name="a4-1x1")
    with pytest.raises(NotFound, match="letter-66"):
        find_grid("letter", "a4-70x37")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("columns = 3", "columns = 4"), "end at 260.0 mm, the paper is 210.0 mm wide"),
        (("rows = 9", "rows = 10"), "mm high"),
        (("rows = 9", "rows = 0"), "rows may not be 0"),
        (("left_mm = 12.5", "left_mm = -1"), "left_mm may not be -1"),
        (("left_mm = 12.5", "left_mm = nan"), "left_mm may not be nan"),
        (("left_mm = 12.5", "left = 12.5"), "left, left_mm"),
        (('paper = "a4"', 'paper = "a5"'), "paper may not be 'a5'"),
        (("label_height_mm = 30.0", "label_height_mm = 12"), "too small to be read"),
        (("columns = 3", "columns = true"), "columns may not be True"),
        (("columns = 3", "columns"), "no TOML"),
    ],
)
def test_a_grid_that_cannot_be_is_refused_with_the_measure_at_fault(own, change, says) -> None:
    with pytest.raises(BadFile, match=says):
        find_grid(path=own(OWN.replace(*change)))


def test_a_file_without_grids_or_no_file_at_all_is_refused(own, tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="holds no grid"):
        find_grid(path=own(""))
    with pytest.raises(BadFile, match="text file"):
        find_grid(path=str(tmp_path / "nowhere.toml"))


def test_the_page_on_tags_knows_every_grid_and_its_example_can_be_used(own) -> None:
    page = (Path(__file__).parents[2] / "docs" / "tags.md").read_text(encoding="utf-8")
    for name, grid in shipped_grids().items():
        row = next(line for line in page.splitlines() if f"| `{name}`" in line)
        assert row.endswith(f"| {grid.columns} x {grid.rows} |")
    example = page.split("```toml\n")[1].split("```")[0]
    assert find_grid(path=own(example)).name == "bench-60x30"
