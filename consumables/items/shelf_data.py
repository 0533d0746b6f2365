"""Where the rule books and word lists lie, and how one of them is opened.

Read through the package's own loader: importlib.resources would add about 1.2 times a bare
interpreter start (measured) to a command that answers in under eight.
"""

import os
from functools import cache
from typing import Any

_WORD_LISTS = frozenset(
    {"abrasives", "cautions", "general_order", "materials", "trade_words", "usual_items"}
)


def shipped_names() -> tuple[str, ...]:
    """Names of the rule books that come with the tool, sorted."""
    names = (name[:-5] for name in os.listdir(_folder()) if name.endswith(".toml"))
    return tuple(sorted(name for name in names if name not in _WORD_LISTS))


def shipped_text(name: str) -> str:
    """Text of one shipped file, named without its ending."""
    import consumables.rulebooks as folder

    spec = folder.__spec__
    assert spec is not None
    loader: Any = spec.loader
    data: bytes = loader.get_data(os.path.join(_folder(), f"{name}.toml"))
    return data.decode("utf-8")


@cache
def word_list(name: str) -> dict[str, Any]:
    """One of the shipped word lists as TOML tables, read once."""
    import tomllib

    return tomllib.loads(shipped_text(name))


def _folder() -> str:
    import consumables.rulebooks as folder

    return os.path.dirname(str(folder.__file__))
