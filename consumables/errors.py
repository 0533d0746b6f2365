"""Every problem the desk can explain, in whole sentences: what, where, and what to do next."""


class DeskProblem(Exception):
    """Base of every problem a technician can put right; its text is the sentence she reads."""

    exit_code = 1


class Refused(DeskProblem):
    """A thing may not be used or done; nothing was written."""


class BadFile(DeskProblem):
    """A file from outside was refused whole; names file, row and column."""

    exit_code = 3

    def __init__(self, path: str, row: int | None, column: str, expected: str) -> None:
        place = f"{path}" + (f", row {row}" if row is not None else "")
        place += f", column '{column}'" if column else ""
        super().__init__(f"{place}: {expected} Nothing was brought in.")
        self.path, self.row, self.column = path, row, column


class BadRuleBook(DeskProblem):
    """A rule book cannot be trusted as written; names the book and the rule."""

    exit_code = 3


class NotFound(DeskProblem):
    """Something named does not exist in this shop."""

    exit_code = 1


class ShopUnavailable(DeskProblem):
    """The shop file cannot be opened, is locked, or is not a shop."""

    exit_code = 4
