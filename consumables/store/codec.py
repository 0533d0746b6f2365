"""Values to text and back, so that what was written can be read in any later year."""

from typing import Any, TypeVar, get_args

from pydantic import TypeAdapter

from consumables.ledger import events

V = TypeVar("V")

KINDS: dict[str, type[Any]] = {kind.__name__: kind for kind in get_args(events.Event)}


_ADAPTERS: dict[Any, TypeAdapter[Any]] = {}


def _adapter(kind: Any) -> TypeAdapter[Any]:
    # Building one costs a millisecond, so each kind is built when it is first met.
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def to_text(value: object) -> str:
    """Any of our frozen dataclasses as JSON text."""
    return _adapter(type(value)).dump_json(value).decode()


def from_text(kind: type[V], body: str) -> V:
    """The value that `to_text` wrote."""
    value: V = _adapter(kind).validate_json(body)
    return value
