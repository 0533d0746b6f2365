"""A small note beside the shop file of how far its ledger has come, so that an older copy put in
its place is noticed before anything that was used since can be used a second time."""

from pathlib import Path


class NewestEntry:
    """The highest entry number ever written to the shop file at this place."""

    def __init__(self, location: str) -> None:
        self._path = None if "://" in location else Path(f"{Path(location).expanduser()}.newest")

    def read(self) -> int:
        """The number noted, or 0 where nothing (readable) is noted."""
        try:
            return int(self._path.read_text()) if self._path is not None else 0
        except (OSError, ValueError):
            return 0

    def note(self, entry_id: int) -> None:
        """Remember a number; a full or read-only disk must not stop the work."""
        if self._path is not None:
            try:
                self._path.write_text(str(entry_id))
            except OSError:
                return
