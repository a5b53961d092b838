"""Records as plain data: the one way from what a room works with to what `panellint.results` says
that a command prints."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from math import isfinite
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

if TYPE_CHECKING:
    from panellint.core.source import Source

Shape = TypeVar("Shape")
Form = Callable[[Any, "int | None", "Source | None"], Any]
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
    for key, form in keys.items():
        if key in given:
            value = given[key]
        else:
            value = record[key] if isinstance(record, Mapping) else getattr(record, key)
        plain[key] = None if value is None else form(value, places, source)
    return cast(Shape, plain)


@cache
def _keys(shape: Any) -> dict[str, Form]:
    return {key: _form(kind) for key, kind in get_type_hints(shape).items()}


@cache
def _form(kind: Any) -> Form:
    """Returns what gives a value, which is not None, the form that a type asks for."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        [kind] = set(inner) - {NoneType}
        own = _form(kind)
        return lambda value, *how: None if value == "" else own(value, *how)
    if kind is str:
        return lambda value, *_: str(value)
    if kind is float:
        return _number
    if origin is list:
        each = _form(inner[0])
        return lambda value, *how: [None if one is None else each(one, *how) for one in value]
    if origin in (dict, Mapping):
        each = _form(inner[1])
        return lambda value, *how: {
            str(key): None if one is None else each(one, *how) for key, one in value.items()
        }
    if hasattr(kind, "__required_keys__"):
        return lambda value, *how: value if isinstance(value, dict) else to_data(kind, value, *how)
    return lambda value, *_: value


def _number(value: Any, places: int | None, _: Source | None) -> float | None:
    number = float(value)
    if not isfinite(number):
        return None
    return number if places is None else round(number, places) + 0.0
