"""Records as plain data: the one way from what a room works with to what `panellint.results` says
that a command prints."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import isfinite
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

if TYPE_CHECKING:
    from panellint.core.source import Source

Shape = TypeVar("Shape")
_PLACE = frozenset({"start", "end"})


def to_data(
    shape: type[Shape],
    record: object = None,
    places: int | None = None,
    source: Source | None = None,
    /,
    **given: object,
) -> Shape:
    """Returns a record in the shape of a type of `panellint.results`.

    A key has the value that is `given`, else that of the record's field or key of its name, in the
    form that its type asks for: lists of tuples, words of enumerations, numbers as floats (to
    `places`; None for one without limit), None for "" where a key may be None. A dict in place of a
    record is taken as it is. With `source`, the place is that of the record's `span`.
    """
    keys = _keys(cast(Any, shape))
    if source and keys.keys() >= _PLACE and not given.keys() & _PLACE:
        given |= source.place(cast(Any, record).span)
    plain = {}
    for key, kind in keys.items():
        if key in given:
            value = given[key]
        else:
            value = record[key] if isinstance(record, Mapping) else getattr(record, key)
        plain[key] = _in_form(value, kind, places, source)
    return cast(Shape, plain)


@cache
def _keys(shape: Any) -> dict[str, Any]:
    return get_type_hints(shape)


@cache
def _parts(kind: Any) -> tuple[Any, tuple[Any, ...]]:
    return get_origin(kind), get_args(kind)


def _in_form(value: Any, kind: Any, places: int | None, source: Source | None) -> Any:
    if value is None or kind is Any:
        return value
    origin, inner = _parts(kind)
    if origin in (Union, UnionType):
        [kind] = set(inner) - {NoneType}
        return None if value == "" else _in_form(value, kind, places, source)
    if kind is str:
        return str(value)
    if kind is float:
        number = float(value)
        if not isfinite(number):
            return None
        return number if places is None else round(number, places) + 0.0
    if origin is list:
        return [_in_form(item, inner[0], places, source) for item in value]
    if origin in (dict, Mapping):
        return {str(key): _in_form(item, inner[1], places, source) for key, item in value.items()}
    if isinstance(value, dict) or not hasattr(kind, "__required_keys__"):
        return value
    return to_data(kind, value, places, source)
