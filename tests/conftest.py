"""Fixtures on the small invented shop."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small_shop import Clock, fill, put_in_book

from consumables.desk.opening import Desk, open_desk


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    """The test shop with its shelf filled and nobody in the book."""
    with open_desk(str(tmp_path / "shop.db"), "AB", clock, must_exist=False) as opened:
        fill(opened)
        yield opened


@pytest.fixture
def visit(desk: Desk) -> Callable[..., str]:
    """Puts a visit into the book and gives its id."""

    def book(*services: str, visit_id: str = "v1", client: str = "c01") -> str:
        put_in_book(desk, visit_id, services or ("manicure",), client)
        return visit_id

    return book
