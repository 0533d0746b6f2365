"""What the sink owes the book: a spore test of the steriliser, a cleaning of a foot basin."""

from consumables.desk import basins, spore_tests
from consumables.desk.opening import Desk


def overdue(desk: Desk) -> list[str]:
    """Sentences on what is late; nothing in a shop that is in step. Jars say it themselves."""
    late = spore_tests.overdue(desk)
    return [*([late] if late else []), *basins.overdue(desk)]
