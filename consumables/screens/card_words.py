"""How a card is worded: where each thing goes, what it takes, and what stands against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consumables.screens.widgets.rows import Column, Row, Word

if TYPE_CHECKING:
    from consumables.desk.closing import CardView, LineView
    from consumables.desk.today import DayVisit

COLUMNS = (
    Column("goes to", 12),
    Column("used", 7, right=True),
    Column("item", stretch=True),
    Column("mark", 19, from_width=60),
)
GOES = {"strip, core to wash": "strip + wash"}
TONES = {"bin": "act", "sharps box": "act", "strip + wash": "wait", "wash": "good"}


def heading(visit: DayVisit) -> str:
    """Whose card it is."""
    services = ", ".join(visit.services)
    client = visit.client or "no client code"
    return f"Card of {visit.starts_at:%H:%M} {client}: {services}"


def line_row(at: int, line: LineView) -> Row:
    """One item of the card."""
    if line.refusal:
        goes = Word("refused", "bad")
    else:
        goes_to = GOES.get(line.goes_to, line.goes_to)
        goes = Word(goes_to, TONES.get(goes_to, "quiet"))
    return Row(str(at), (goes, amount(line), line.name, line.category))


def amount(line: LineView) -> str:
    """A quantity with its unit."""
    unit = "" if line.unit == "each" else f" {line.unit}"
    return f"{line.line.quantity}{unit}"


def line_words(line: LineView) -> str:
    """All that is known of one line."""
    told = [f"{line.name}\n{line.category}: {line.goes_to}", f"used: {amount(line)}"]
    if line.takes:
        told.append("takes: " + ", ".join(line.takes))
    if line.refusal:
        told.append("Refused: " + line.refusal)
    return "\n\n".join(told)


def caution_words(view: CardView) -> str:
    """The cautions of the card as it stands."""
    lines = [f"CAUTION  {sentence}" for sentence in view.cautions]
    if view.card.contaminated:
        lines.insert(0, "BLOOD: YES (b takes it back)")
    return "\n".join(lines)


def refused_words(view: CardView) -> str:
    """Every reason against the card, and what she can do."""
    if not view.refusals:
        return ""
    reasons = "\n".join(f"- {sentence}" for sentence in view.refusals)
    return f"NOT ALLOWED AS IT STANDS\n{reasons}"
