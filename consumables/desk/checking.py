"""Proving that the shop's balances are what its ledger adds up to."""

from consumables.desk.opening import Desk


def check(desk: Desk) -> list[str]:
    """Every difference in a sentence; an empty list is a sound shop."""
    found = _differences(desk)
    if not desk.store.sound():
        found.append(
            "The shop file itself is damaged: restore the last copy, then count the shelf."
        )
    return found


def _differences(desk: Desk) -> list[str]:
    try:
        with desk.store.reading() as session:
            return session.differences()
    except (ValueError, KeyError):
        # A body that is no event of ours any more: its values may be a client's, so none is shown.
        return ["An entry of the ledger cannot be read any more: restore the last copy."]
