"""The gap in sentences: about cards and counts, with how sure the numbers are."""

import re
from datetime import UTC, datetime, timedelta

from small_shop import solid

from consumables.items.catalogue import SetUpLine
from consumables.items.classify import classify
from consumables.items.rulebook_reader import shipped
from consumables.reports.gap_chances import ReuseGap, reckon
from consumables.reports.gap_words import (
    count_sentences,
    one_in,
    paragraph,
    percent,
    row_sentence,
    standing_out,
    whole_sentence,
)
from consumables.reports.reuse_gap import CardTold, Counting, UseTold, rule_of

NOON = datetime(2026, 3, 4, 12, tzinfo=UTC)
ACCUSING = r"\b(she|he|her|his|him|technician|cheat\w*|guilty|blame\w*|reused by|fault)\b"


def gap(short: int, cards: int, *counts: tuple[int, int], flagged: int = 0) -> ReuseGap:
    board = solid("board", "abrasive on cardboard", True, kind="emery board")
    verdicts = {"board": classify(board, shipped("strict-majority"))}
    rule = rule_of([SetUpLine("manicure", "board", 1)], {"board": board}, verdicts)
    told = [
        CardTold(
            f"v{n}",
            NOON,
            "AB",
            ("manicure",),
            () if n < short else (UseTold("manicure", "board", 1, n < short + flagged),),
        )
        for n in range(cards)
    ]
    seen = [
        Counting("board", NOON + timedelta(hours=n + 1), expected, counted)
        for n, (expected, counted) in enumerate(counts)
    ]
    return reckon(told, rule, seen)


def test_the_whole_period_is_one_sentence_with_bounds_and_chance() -> None:
    assert whole_sentence(gap(3, 40)) == (
        "3 of 40 cards short: between 1.6 % and 20.4 % at 95 %; slips of 1 in 100 would do this "
        "1 time in 133: slips alone hardly do this, look into it."
    )


def test_full_cards_still_say_what_cannot_be_ruled_out() -> None:
    # 1 - 0.025 ** (1 / 40) = 0.0881: none among 40, two-sided at 95 %.
    assert whole_sentence(gap(0, 40)) == "No short card among 40; up to 8.8 % could be, at 95 %."


def test_a_period_without_visits_says_that_nothing_can_be_said() -> None:
    assert "nothing can be said" in whole_sentence(gap(0, 0))


def test_flagged_uses_are_told_apart_in_their_row() -> None:
    found = gap(0, 40, flagged=2)
    assert "2 more are on cards as flagged uses." in row_sentence(found.rows[0], found, "board")


def test_a_count_that_finds_more_has_its_own_line_and_the_tell_tale_sentence() -> None:
    first, second, *_ = count_sentences(gap(0, 40, (50, 58)), str)
    assert first.startswith("board: 8 more than the ledger says (in 1 of 1 count): ")
    assert first.endswith("look into it.")
    assert "what a thing used twice leaves behind" in second
    assert "A delivery not written down" in second


def test_what_the_cards_left_out_and_the_shelf_lacks_was_taken_and_not_written_down() -> None:
    (sentence,) = count_sentences(gap(3, 40, (50, 47)), str)
    assert "3 fewer than the ledger says." in sentence
    assert "they are gone from the shelf: taken, not written down." in sentence


def test_what_the_cards_left_out_and_the_shelf_still_has_was_not_used_or_used_twice() -> None:
    (sentence,) = count_sentences(gap(3, 40, (50, 50)), str)
    assert "none of them left the shelf" in sentence
    assert "not used or something used twice" in sentence


def test_an_item_with_short_cards_that_nobody_counted_is_named() -> None:
    assert count_sentences(gap(3, 40), str)[0].startswith("Not counted in these days: board.")


def test_only_rows_that_stand_out_are_spoken_of() -> None:
    assert standing_out(gap(0, 40), str, str) == []
    assert len(standing_out(gap(9, 40), str, str)) == 3  # the service, the item, the initials


def test_nobody_is_accused() -> None:
    told = " ".join(paragraph(gap(9, 40, (50, 58)), str, str)).lower()
    assert re.findall(ACCUSING, told) == []


def test_shares_and_chances_are_written_so_that_they_can_be_read_aloud() -> None:
    assert [percent(x) for x in (0.0, 0.0001, 0.0157, 1.0)] == [
        "0.0 %",
        "under 0.1 %",
        "1.6 %",
        "100.0 %",
    ]
    assert [one_in(x) for x in (1.0, 0.0075, 1e-9)] == [
        "easily",
        "1 in 133",
        "under 1 in a million",
    ]
