"""What lies at the sink: the pieces, the jars, what is late, and the cautions that go with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consumables.desk.jars import Jar
    from consumables.desk.opening import Desk
    from consumables.desk.washing import WashPiece


@dataclass(frozen=True)
class AtTheSink:
    """What the desk says of the sink."""

    pieces: Sequence[WashPiece] = ()
    jars: Sequence[Jar] = ()
    cautions: Sequence[str] = ()
    overdue: Sequence[str] = ()

    def jar_for(self, purpose: str) -> Jar | None:
        """The jar mixed last for this, if one is in use."""
        return next((jar for jar in self.jars if jar.purpose == purpose), None)


def at_the_sink(desk: Desk, everything: bool) -> AtTheSink:
    """Pieces that wait (with `everything` the ready ones too), jars in use, what is late."""
    from consumables.desk.jars import jars
    from consumables.desk.overdue import overdue
    from consumables.desk.washing import cautions, wash_list

    return AtTheSink(wash_list(desk, everything), jars(desk), cautions(), overdue(desk))
