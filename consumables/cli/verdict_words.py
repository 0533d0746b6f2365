"""A verdict in words: what may happen to the item, why, what is asked, and who says otherwise."""

from collections.abc import Iterable, Iterator

import click

from consumables.cli.printing import print_labelled
from consumables.items.rulebook import Citation
from consumables.items.verdict import Verdict
from consumables.words import Route

GOES = {
    Route.IMMERSE: "wash, then fully covered in disinfectant",
    Route.WIPE: "wash, then kept wet with disinfectant by wiping",
    Route.SPRAY: "wash, then kept wet with disinfectant by spraying",
    Route.LAUNDER: "to the laundry",
    Route.STERILISE: "wash, pouch, sterilise",
    Route.STORE_CLEAN: "wash, then stored closed",
    Route.STRIP: "strip: the surface to the bin, the core to the wash",
    Route.BIN: "to the bin after one client",
    Route.SHARPS: "to the sharps box after one client",
    Route.DISPENSE: "used up: what left the container never goes back",
}


def show_verdict(name: str, verdict: Verdict, told: Iterable[str] = ()) -> None:
    """Print a verdict, one thing a line, each with the word that says what it is."""
    click.echo(name)
    for label, sentence in _lines(verdict):
        print_labelled(label, sentence)
    for one in told:
        print_labelled("told by", one)


def _lines(verdict: Verdict) -> Iterator[tuple[str, str]]:
    partial = " (seen in part)" if verdict.partial_book else ""
    yield "verdict", f"{verdict.category}, under {verdict.book}{partial}"
    yield "goes", GOES[verdict.route]
    if verdict.core_route:
        yield "core", GOES[verdict.core_route]
    for reason in verdict.reasons:
        yield "because", reason.sentence
        for cite in reason.cites:
            yield "", f"[{cite_words(cite)}]"
    for question in verdict.questions:
        yield "asks", f"{question} Single-use until answered."
    for label, sentence in (("sources", verdict.conflict), ("banned", verdict.banned)):
        if sentence:
            yield label, sentence
    for caution in verdict.cautions:
        yield "caution", caution
    for change in verdict.changes:
        yield "changes", f"{change.condition}: {change.category}, {change.route}"
    if not verdict.changes:
        yield "changes", "nothing about the thing itself would change this"
    for other in verdict.disagree:
        partial = " (seen in part)" if other.partial else ""
        yield "differs", f"under {other.book}{partial}: {other.category}, {other.route}"


def cite_words(cite: Citation) -> str:
    """A citation on one line: where it stands, which text was seen, how it is known, each once."""
    known = "" if cite.confidence in cite.section else str(cite.confidence)
    checked = f"checked on {cite.checked_on}" if cite.checked_on else ""
    return ", ".join(part for part in (cite.section, cite.edition, known, checked) if part)
