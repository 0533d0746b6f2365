"""When the tool itself fails: one plain line for her, the place of it for whoever mends it."""

from __future__ import annotations

import traceback
from datetime import UTC, datetime
from pathlib import Path


def note_fault(fault: BaseException) -> str:
    """Write where it failed into the log and give the sentence to show.

    Only the kind of fault and the lines of code are written, never a value: values can be
    a client's data.
    """
    frames = traceback.extract_tb(fault.__traceback__)
    kind = type(fault).__name__
    place = f"{Path(frames[-1].filename).name} line {frames[-1].lineno}" if frames else "no place"
    sentence = (
        f"Something failed that nobody foresaw ({kind}, {place}). "
        "Look at the list again before you repeat the job."
    )
    written = _write(kind, [f"{f.filename}:{f.lineno} {f.name}" for f in frames])
    return f"{sentence} Noted in {written}." if written else sentence


def log_path() -> Path:
    """Where faults are noted."""
    from platformdirs import user_log_path

    return Path(user_log_path("consumables")) / "screens.log"


def _write(kind: str, places: list[str]) -> Path | None:
    path = log_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as log:
            log.write(f"{datetime.now(UTC).isoformat(timespec='seconds')} {kind}\n")
            log.writelines(f"    {place}\n" for place in places)
    except OSError:
        return None  # a full or read-only disk must not hide the sentence itself
    return path
