"""What is written on things and on containers, in the words of the book in force."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from small_shop import Clock

from consumables.desk.delivering import receive_unordered
from consumables.desk.jars import mix_jar
from consumables.desk.opening import Desk
from consumables.desk.tagging import container_labels, tag, tags
from consumables.errors import NotFound, Refused
from consumables.items.tags import dilution_words


def in_force(desk: Desk, **parameters: object) -> None:
    """A copy of the book in force that asks for other labels."""
    asked = replace(desk.book.parameters, **parameters)  # type: ignore[arg-type]
    desk.__dict__["book"] = replace(desk.book, parameters=asked)


def test_every_container_of_the_book_in_force_carries_its_words(desk: Desk) -> None:
    wanted = dict(desk.book.parameters.container_labels)
    said = {label.container: label.words for label in container_labels(desk)}
    assert {"new supplies", "disinfected tools", "used tools"} <= set(said)
    assert all(said[place] == wanted[place] for place in said)


def test_a_mixed_jar_says_contents_dilution_and_until_when(desk: Desk, clock: Clock) -> None:
    mix_jar(desk, "concentrate", 1000, 64)
    clock.at += timedelta(minutes=5)
    (jar,) = (label for label in container_labels(desk) if label.mixed)
    assert jar.words == "Disinfectant Solution"
    assert (jar.contents, jar.dilution) == ("concentrate", "1 part to 64 parts of water")
    assert jar.mixed == "Mixed 2026-03-04 12:00"
    assert jar.change_by.startswith("Change by 2026-03-")


def test_what_stands_in_another_bottle_than_its_own_is_named_on_it(desk: Desk) -> None:
    (bottle,) = (
        x for x in container_labels(desk, ["acetone"]) if x.contents or "acetone" in x.words
    )
    assert bottle.container == "secondary container"
    assert bottle.words == "acetone"
    with pytest.raises(NotFound):
        container_labels(desk, ["anvil"])


def test_the_words_change_with_the_book(desk: Desk) -> None:
    mix_jar(desk, "concentrate", 500, 0)
    in_force(desk, container_labels=(("secondary container", "<contents>, <dilution>"),))
    (jar,) = container_labels(desk)
    assert jar.words == "concentrate, undiluted"
    assert (jar.contents, jar.dilution) == ("", "")
    in_force(desk, container_labels=(), storage_labels=("Clean", "To be cleaned"))
    assert [label.words for label in container_labels(desk)][1:] == ["Clean", "To be cleaned"]


def test_a_book_that_asks_for_no_words_still_names_the_jars(desk: Desk) -> None:
    mix_jar(desk, "concentrate", 650, 64)
    in_force(desk, container_labels=(), storage_labels=())
    (jar,) = container_labels(desk)
    assert (jar.words, jar.dilution) == ("concentrate", "1 part to 64 parts of water")


@pytest.mark.parametrize(
    ("parts", "words"), [(0, "undiluted"), (1, "1 part to 1 part of water"), (9.5, "1 part to 9.5")]
)
def test_a_dilution_is_said_in_parts_of_water(parts: float, words: str) -> None:
    assert dilution_words(parts).startswith(words)


def test_a_retired_piece_has_no_tag_any_more(desk: Desk) -> None:
    from consumables.desk.washing import retire

    retire(desk, "nipper-01", "rust")
    assert "DESK:nipper-01" not in {one.code for one in tags(desk, ["nipper"])}


def test_a_lot_carries_its_use_by_and_the_suppliers_own_code(desk: Desk) -> None:
    receive_unordered(desk, "board", 50, date(2027, 6, 30), "K4")
    codes = {one.supplier_lot: one.use_by for one in tags(desk, ["board"])}
    assert codes["K4"] == "2027-06-30"


def test_what_serves_one_client_is_never_tagged_to_be_kept(desk: Desk) -> None:
    with pytest.raises(Refused, match="never kept"):
        tag(desk, "board")
