"""A fault of the tool is told in one line; its place is noted, never what was on the desk."""

import sys
from datetime import UTC, datetime
from traceback import walk_tb


def note_down(mishap: BaseException) -> str:
    """Write type and places of a fault to the log file; returns the line to tell the technician.

    The text of the fault and all values are left out: they may hold a client's data.
    """
    kind = type(mishap).__name__
    told = f"The tool itself failed ({kind}); a job that was not finished was not written."
    try:
        from platformdirs import user_log_path

        path = user_log_path("consumables", ensure_exists=True) / "faults.log"
        with path.open("a", encoding="utf-8") as log:
            log.write(f"{datetime.now(UTC).isoformat(timespec='seconds')} {kind}\n")
            log.writelines(f"  {place}\n" for place in _places(mishap))
    except OSError:
        return f"{told} It happened at {_places(mishap)[-1]}."
    return f"{told} Where it happened is noted in {path}."


def _places(mishap: BaseException) -> list[str]:
    frames = [(frame.f_code.co_filename, line) for frame, line in walk_tb(mishap.__traceback__)]
    return [f"{_short(name)}:{line}" for name, line in frames] or [f"{sys.argv[0]}:0"]


def _short(file_name: str) -> str:
    """The path from the package on; folders above it may hold somebody's name."""
    parts = file_name.replace("\\", "/").split("/")
    return "/".join(parts[-3:])
