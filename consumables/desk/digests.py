"""Showing that the ledger is what it was when a seal was printed, and where it no longer is."""

from collections import deque
from collections.abc import Iterable
from pathlib import Path

from consumables.desk.opening import Desk
from consumables.errors import NotFound
from consumables.store.digest import Digest


def digest(desk: Desk, up_to: int | None = None) -> Digest:
    """The seal over the whole ledger, or over its entries up to and with number `up_to`."""
    with desk.store.reading() as session:
        sealed = deque(session.digests(up_to), maxlen=1).pop()
    if up_to is not None and sealed.entry_id != up_to:
        raise NotFound(f"No entry {up_to} is in this shop's ledger; it ends at {sealed.entry_id}.")
    return sealed


def all_digests(desk: Desk) -> list[Digest]:
    """The seal after each entry, oldest first: kept elsewhere, it names the entry that changed."""
    with desk.store.reading() as session:
        return [sealed for sealed in session.digests() if sealed.entry_id]


def changed_since(desk: Desk, kept: Iterable[Digest]) -> list[str]:
    """What no longer matches seals that were kept (whole, or their first digits); [] if all do.

    Each seal covers every entry before it, so only the first that differs says where.
    """
    with desk.store.reading() as session:
        now = {sealed.entry_id: sealed.digest for sealed in session.digests()}
    sound = 0  # the last entry that is known to be what it was
    for one in sorted(kept, key=lambda sealed: sealed.entry_id):
        if one.entry_id not in now:
            return [f"Entry {one.entry_id} was there when the seal was kept and is gone now."]
        if not now[one.entry_id].startswith(one.digest):
            return [_where(sound + 1, one.entry_id)]
        sound = one.entry_id
    return []


def kept(said: str) -> list[Digest]:
    """Seals that were kept: ENTRY:DIGEST typed off a printed record, or the path of a sheet."""
    from consumables.paperwork.kept_digests import kept_digests, typed_digest

    found = typed_digest(said)
    told = [found] if found is not None else kept_digests(Path(said))
    return [Digest(number, digits) for number, digits in told]


def digest_sheet(seals: Iterable[Digest]) -> str:
    """Seals as CSV text, as `kept` reads it back."""
    from consumables.paperwork.kept_digests import COLUMNS
    from consumables.paperwork.order_paper import csv_text

    return csv_text(COLUMNS, [(sealed.entry_id, sealed.digest) for sealed in seals])


def _where(first: int, last: int) -> str:
    if first == last:
        return f"Entry {last} is not what it was when its seal was kept."
    return (
        f"The seal of entry {last} is another: an entry from {first} to {last} is not what it was "
        "when it was kept. A list of all seals (`consumables check --digest --csv FILE`) names it."
    )
