"""What a check takes: its parameters as a rule gives them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from panellint.core.errors import Fault, InputError
from panellint.core.patterns import Words, pattern

T = TypeVar("T")


class Parameters(Mapping[str, Any]):
    """A rule's parameters: a mapping that blames the pack where one is missing or wrong."""

    __slots__ = ("_made", "_patterns", "_values", "_where")

    def __init__(self, values: Mapping[str, Any], where: tuple[str, str, int] = ("", "", 0)):
        self._values = dict(values)
        self._where = where
        self._made: dict[tuple[str, Callable[..., Any]], Any] = {}
        self._patterns: dict[str, Words] = {}

    def __getitem__(self, key: str) -> Any:
        if key not in self._values:
            raise self._fault(f"parameter `{key}` is missing", "")
        return self._values[key]

    def __contains__(self, key: object) -> bool:
        return key in self._values

    def get(self, key: str, default: Any = None) -> Any:
        """The parameter, or `default` where the rule does not give it."""
        return self._values.get(key, default)

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __repr__(self) -> str:
        return f"Parameters({self._values!r})"

    def number(self, key: str) -> float:
        """A number. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            value = self[key]
            raise self._fault(f"parameter `{key}` is {value!r}", "a number")
        return value

    def text(self, key: str) -> str:
        """A text. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if not isinstance(value, str):
            value = self[key]
            raise self._fault(f"parameter `{key}` is {value!r}", "a text")
        return value

    def words(self, key: str) -> tuple[str, ...]:
        """A list of texts; one text is a list of one. Raises InputError as `text` does."""
        made = self._made.get((key, tuple))
        if made is None:
            value = self[key]
            found = [value] if isinstance(value, str) else value
            if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
                raise self._fault(f"parameter `{key}` is {value!r}", "a list of texts")
            made = self._made[key, tuple] = tuple(found)
        words: tuple[str, ...] = made
        return words

    def pattern(self, key: str) -> Words:
        """A list of regular expressions as one, made once. Raises InputError as `text` does."""
        found = self._patterns.get(key)
        if found is None:
            found = self._patterns[key] = pattern(*self.words(key))
        return found

    def made(self, key: str, make: Callable[[Any, str], T]) -> T:
        """What `make` makes of a parameter and the pack's path, made once: what a rule looks
        for is the same for every label. Raises InputError where the parameter is missing."""
        found = self._made.get((key, make))
        if found is None:
            found = self._made[key, make] = make(self[key], self._where[1])
        made: T = found
        return made

    def changed(self, values: Mapping[str, Any]) -> Parameters:
        """The same with other values for some."""
        return Parameters({**self._values, **values}, self._where)

    def _fault(self, message: str, expected: str) -> InputError:
        rule, path, line = self._where
        return InputError(Fault(path, line or None, None, f"rule `{rule}`: {message}", expected))
