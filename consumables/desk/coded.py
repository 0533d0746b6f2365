"""A person stands in the book as a code or initials, however she came into it."""

from consumables.errors import Refused
from consumables.paperwork.cells import CellError, code


def coded(who: str, what: str) -> str:
    """The code as typed, blanks at its ends left out; a name is refused and not repeated.

    `what` names the field in the sentence: client, technician.

    Raises:
        Refused: more than 12 characters, or a blank, comma or semicolon in it.
    """
    try:
        return code(who.strip())
    except CellError as fault:
        raise Refused(f"{what}: {fault}") from None
