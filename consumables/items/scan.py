"""What a bar-code number is: checked to its last digit, or refused."""

from consumables.errors import Refused

_LENGTHS = (8, 12, 13, 14)


def is_gtin(text: str) -> bool:
    """Whether a text is a bar-code number (GTIN-8, -12, -13 or -14) with a right check digit."""
    try:
        gtin14(text)
    except Refused:
        return False
    return True


def gtin14(text: str) -> str:
    """A bar-code number as 14 digits, filled with zeros on the left.

    Check digit: weights 3, 1, 3, 1 ... from the right (GS1 General Specifications); the check
    itself is biip's. Raises Refused with the digit that would have been right.
    """
    digits = text.strip().replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdigit()):
        raise Refused(f"Bar code '{text}': it must be digits only. Scan or type it again.")
    if len(digits) not in _LENGTHS or not digits.strip("0"):
        raise Refused(
            f"Bar code '{text}': a bar-code number has 8, 12, 13 or 14 digits and is not all "
            f"zeros; this one has {len(digits)} digits. Scan or type it again."
        )
    return _checked(digits)


def _checked(digits: str) -> str:
    from biip.checksums import gs1_standard_check_digit  # imported late: 10 bare starts (measured)

    right = str(gs1_standard_check_digit(digits[:-1]))
    if digits[-1] != right:
        raise Refused(
            f"Bar code '{digits}': its last digit should be {right}, not {digits[-1]}, so a digit "
            "was misread. Scan or type it again."
        )
    return digits.zfill(14)
