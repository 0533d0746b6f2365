"""A small note beside the shop file of how far its ledger has come, so that an older copy put in
its place is noticed before anything that was used since can be used a second time."""

import os
from pathlib import Path


class NewestEntry:
    """The highest entry number ever written to the shop file at this place."""

    def __init__(self, location: str) -> None:
        plain = location.removeprefix("sqlite:///")
        named = "://" not in plain and ":memory:" not in plain
        self._path = Path(f"{Path(plain).expanduser()}.newest") if named else None

    def read(self) -> int:
        """The number noted, or 0 where nothing (readable) is noted."""
        try:
            return int(self._path.read_text()) if self._path is not None else 0
        except (OSError, ValueError):
            return 0

    def note(self, entry_id: int, anew: bool = False) -> None:
        """Remember a number; a full or read-only disk must not stop the work.

        A desk that was a moment slower never lowers it; `anew` does, when a copy is taken over.
        """
        if self._path is None or (not anew and entry_id <= self.read()):
            return
        beside = self._path.with_name(f"{self._path.name}.{os.getpid()}")
        try:
            # Swapped in whole: a desk that is cut off here must not leave an empty note.
            beside.write_text(str(entry_id))
            beside.replace(self._path)
        except OSError:
            return
