"""A file from outside is opened once, read whole, and never trusted."""

from pathlib import Path

from consumables.errors import BadFile

MOST_BYTES = 20_000_000  # a shop's year is far below this; a wrong file may be far above


def incoming_bytes(path: Path) -> bytes:
    """The whole file; raises BadFile when it is missing, unreadable or far too large."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadFile(str(path), None, "", "The file is larger than 20 MB, so it is refused.")
        return path.read_bytes()
    except FileNotFoundError:
        raise BadFile(str(path), None, "", "There is no such file; check its name.") from None
    except OSError as problem:
        why = problem.strerror or "it cannot be opened"
        raise BadFile(str(path), None, "", f"The file cannot be read ({why}).") from None


def incoming_text(path: Path) -> str:
    """The file as UTF-8 text, with or without a byte-order mark; raises BadFile otherwise."""
    try:
        return incoming_bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadFile(
            str(path), None, "", "UTF-8 text is expected; save it again as 'CSV UTF-8'."
        ) from None
