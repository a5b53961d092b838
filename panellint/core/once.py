"""Answers about a label that are worked out when they are first asked for, and kept with it."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar, TypeVarTuple

Context = TypeVar("Context")
Answer = TypeVar("Answer")
Asked = TypeVarTuple("Asked")


def once(make: Callable[[Context, *Asked], Answer]) -> Callable[[Context, *Asked], Answer]:
    """Returns the same question, whose answers a context keeps (`LabelContext.once`)."""

    @wraps(make)
    def ask(context: Context, *asked: *Asked) -> Answer:
        return context.once(make, *asked)  # type: ignore[attr-defined, no-any-return]

    return ask
