"""Grit numbers mean a size only on a stated scale, and two scales are never compared.

Sizes: tests/reference/grit_sizes.csv (P: ISO 6344 by a converter and sizes.com; CAMI: sizes.com,
trade chart, stored chart, reference.com). The usual grit on a natural nail is common practice.
"""

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.errors import Refused
from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.grit import (
    Grit,
    Size,
    beyond_the_standard,
    coarse_face_caution,
    coarser,
    faces,
    size_of,
    size_words,
)
from consumables.items.rulebook_reader import shipped
from consumables.words import Confidence, Grading

P, CAMI, UNSTATED = Grading.P, Grading.CAMI, Grading.UNSTATED
ROWS = list(csv.DictReader((Path(__file__).parents[1] / "reference" / "grit_sizes.csv").open()))
SHARED = sorted({int(row["number"]) for row in ROWS} - {1200})


def middle(grading: Grading, number: int) -> float:
    size = size_of(Grit(number, grading))
    assert size is not None
    return (size.finest + size.coarsest) / 2


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['scale']} {row['number']}")
def test_a_number_on_a_stated_scale_has_the_size_of_the_table(row: dict[str, str]) -> None:
    grit = Grit(int(row["number"]), Grading(row["scale"]))
    known = Confidence(row["confidence"])
    assert size_of(grit) == Size(float(row["finest"]), float(row["coarsest"]), known)


def test_every_size_of_the_tool_is_in_the_reference() -> None:
    known = {(row["scale"], int(row["number"])) for row in ROWS}
    found = {(g, n) for g in (P, CAMI) for n in range(1, 5001) if size_of(Grit(n, g))}
    assert found == known


@given(st.integers(1, 5000))
def test_a_number_without_a_scale_has_no_size(number: int) -> None:
    assert size_of(Grit(number, UNSTATED)) is None


def test_on_each_scale_a_higher_number_is_finer() -> None:
    for grading in (P, CAMI):
        numbers = [int(row["number"]) for row in ROWS if row["scale"] == grading]
        sizes = [middle(grading, number) for number in sorted(numbers)]
        assert sizes == sorted(sizes, reverse=True)


def test_the_same_number_agrees_to_220_and_then_p_is_coarser() -> None:
    """Within 15 % up to 220 (P100 162, CAMI 100 141 is the widest); above it P always coarser."""
    for number in SHARED:
        ratio = middle(P, number) / middle(CAMI, number)
        assert 1 <= ratio < 1.15 if number <= 220 else ratio > 1.12


def test_cami_400_lies_between_p600_and_p800_and_p400_beside_cami_320() -> None:
    assert middle(P, 800) < middle(CAMI, 400) < middle(P, 600)
    assert middle(P, 400) == pytest.approx(middle(CAMI, 320), rel=0.01)


# A wood finisher's published comparison chart (ruddwoodfinishes.com, rounded to whole numbers),
# found apart from the table above: number on P, number on CAMI, micrometres.
CHART = [
    (None, 60, 270), (80, None, 200), (None, 80, 192), (100, None, 162), (None, 100, 140),
    (120, None, 125), (None, 120, 116), (150, None, 100), (None, 150, 93), (180, 180, 82),
    (220, 220, 68), (240, None, 60), (280, 240, 52), (320, None, 46), (None, 280, 42),
    (360, None, 40), (400, 320, 35), (500, None, 30), (None, 360, 28), (600, None, 26),
    (800, 400, 22), (1000, 500, 18), (1200, 600, 15),
]  # fmt: skip


@pytest.mark.parametrize(("on_p", "on_cami", "micrometres"), CHART)
def test_a_second_published_chart_agrees(
    on_p: int | None, on_cami: int | None, micrometres: float
) -> None:
    for grading, number in ((P, on_p), (CAMI, on_cami)):
        if number:
            size = size_of(Grit(number, grading))
            assert size is not None
            assert size.finest * 0.97 <= micrometres <= size.coarsest * 1.03


def test_the_cami_standard_defines_nothing_finer_than_600() -> None:
    assert [n for n in SHARED if beyond_the_standard(Grit(n, CAMI))] == [800, 1000]
    assert size_of(Grit(1200, CAMI)) is None
    assert not beyond_the_standard(Grit(1200, P))


def test_faces_on_one_scale_are_told_apart() -> None:
    coarse, fine = faces(describe_text("P100/P180 file, foam core").item)
    assert coarser(coarse, fine)
    assert not coarser(fine, coarse)


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [
        (Grit(400, P), Grit(400, CAMI), "two scales"),
        (Grit(400, UNSTATED), Grit(400, P), "no stated scale"),
        (Grit(180, CAMI), Grit(240, UNSTATED), "no stated scale"),
        (Grit(100, UNSTATED), Grit(180, UNSTATED), "no stated scale"),
    ],
)
def test_a_comparison_that_means_nothing_is_refused(one: Grit, other: Grit, told: str) -> None:
    with pytest.raises(Refused, match=told):
        coarser(one, other)


def test_a_pair_is_two_faces_of_one_item() -> None:
    described = describe_text("180/240 foam buffer")
    assert faces(described.item) == (Grit(180, UNSTATED), Grit(240, UNSTATED))
    assert "2 faces of one item, scale unstated" in described.told[-1].says


def test_a_size_is_said_only_where_the_scale_was() -> None:
    assert size_words(Grit(180, P)) == "P 180, about 82 micrometres"
    assert size_words(Grit(400, CAMI)) == "CAMI 400, about 22-23.6 micrometres"
    assert size_words(Grit(800, CAMI)).endswith("(from memory)")
    assert size_words(Grit(1000, UNSTATED)) == "grit 1000, scale unstated"


@pytest.mark.parametrize(
    ("text", "warned"),
    [
        ("nail file 100/180, foam core", True),
        ("80/80 padded file", True),
        ("180/240 foam buffer", False),
        ("P150 emery board", True),
        ("nail file 240 grit", False),
        ("steel foot file 80 grit", False),
        ("sanding band 80 grit", False),
        ("steel nipper", False),
    ],
)
def test_a_face_coarser_than_is_usual_on_a_natural_nail_gets_a_caution(
    text: str, warned: bool
) -> None:
    item = describe_text(text).item
    verdict = classify(item, shipped("strict-majority"))
    assert bool(verdict.cautions) is warned
    if warned:
        assert "common practice, not a standard" in verdict.cautions[0]
        assert str(item.grits[0]) in verdict.cautions[0]


def test_the_caution_follows_the_noun_and_not_the_name_on_the_pack() -> None:
    item = replace(describe_text("file 80/100").item, name="number one", kind="nail file")
    assert "80 and 100" in coarse_face_caution(item)
