"""Proving that the shop's balances are what its ledger adds up to."""

from consumables.desk.opening import Desk


def check(desk: Desk) -> list[str]:
    """Every difference in a sentence; an empty list is a sound shop."""
    with desk.store.reading() as session:
        found = session.differences()
    if not desk.store.sound():
        found.append(
            "The shop file itself is damaged: restore the last copy, then count the shelf."
        )
    return found
