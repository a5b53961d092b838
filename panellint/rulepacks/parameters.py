"""What a check takes: its parameters as they are declared, and as a rule gives them.

rules/data/checks.yaml states them, check by check. Packs are validated and compiled by it, the JSON
Schema of packs and `panellint rule --checks` are made of it.
"""

from collections.abc import Callable, Iterator, Mapping
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar

from panellint.core.errors import Fault, InputError
from panellint.core.wording import Wording

T = TypeVar("T")

#: What a choice of ingredients may ask of the catalogue's entry, and of the printed words.
CHOICE_FIELDS = ("id", "kind", "family", "species", "origin", "state", "is")
CHOICE_WORDS = ("words", "exact", "regex")
#: The default of a parameter that every rule must give. None stands for one that may be left out.
REQUIRED: Any = ...


class Type(StrEnum):
    """What a parameter holds, in the words of a fault."""

    NUMBER = "a number"
    COUNT = "a whole number"
    FLAG = "true or false"
    TEXT = "a text"
    TEXTS = "a list of texts"
    COUNTS = "a list of whole numbers"
    WORDS = "words to search for"
    INGREDIENTS = "a choice of ingredients"
    TABLE = "keys and values"
    GROUP = "keys and values of their own"
    ROWS = "a list of keys and values"


class Parameter(NamedTuple):
    """One parameter of a check.

    `values` are the texts that it may hold, or the keys of a table, where not every one will do.
    `fields` are those of each of its rows, or the one type of a table's values.
    """

    name: str
    type: Type
    meaning: str
    unit: str = ""
    default: Any = REQUIRED
    values: tuple[str, ...] = ()
    fields: tuple["Parameter", ...] = ()


class Declaration(NamedTuple):
    """What a rule of a check may give: parameters, and texts for variants of its observations."""

    parameters: tuple[Parameter, ...] = ()
    variants: tuple[str, ...] = ()


def declared(check: str, stated: Mapping[str, Any]) -> Declaration:
    """Returns what a rule of a check may give, from what is stated of each check, by name."""
    parameters = stated[check].get("parameters", {})
    return Declaration(
        tuple(_parameter(name, given, stated) for name, given in parameters.items()),
        tuple(stated[check].get("variants", ())),
    )


def _parameter(name: str, given: Any, stated: Mapping[str, Any]) -> Parameter:
    while isinstance(given, str):
        given = stated[given]["parameters"][name]
    [kind] = given.keys() & {each.name.lower() for each in Type}
    return Parameter(
        name,
        Type[kind.upper()],
        given[kind],
        given.get("unit", ""),
        given.get("default", REQUIRED),
        tuple(given.get("values", ())),
        tuple(_parameter(field, of, stated) for field, of in given.get("fields", {}).items()),
    )


class Parameters(Mapping[str, Any]):
    """A rule's parameters, with defaults filled in.

    A mapping that names the pack where one is missing or of another type: so it is for checks of
    other packages that declare nothing.
    """

    __slots__ = ("_built", "_values", "_where")

    def __init__(self, values: Mapping[str, Any], where: tuple[str, str, int] = ("", "", 0)):
        self._values = dict(values)
        self._where = where
        self._built: dict[tuple[str, Callable[..., Any]], Any] = {}

    def __getitem__(self, key: str) -> Any:
        if key not in self._values:
            raise self._fault(f"parameter `{key}` is missing", "")
        return self._values[key]

    def __contains__(self, key: object) -> bool:
        return key in self._values

    def get(self, key: str, default: Any = None) -> Any:
        """Returns the parameter, or `default` where the rule does not give it."""
        return self._values.get(key, default)

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __repr__(self) -> str:
        return f"Parameters({self._values!r})"

    def number(self, key: str) -> float:
        """Returns a number. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._fault(f"parameter `{key}` is {self[key]!r}", Type.NUMBER)
        return value

    def text(self, key: str) -> str:
        """Returns a text. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if not isinstance(value, str):
            raise self._fault(f"parameter `{key}` is {self[key]!r}", Type.TEXT)
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """Returns a list of texts, empty where an optional one is not given; one text is a list
        of one."""
        return self.built(key, _texts) if key in self._values else ()

    def words(self, key: str) -> Wording:
        """Returns the words to search for. Raises InputError as `text` does."""
        return self.built(key, _wording)

    def wordings(self, key: str) -> dict[str, Wording]:
        """Returns the words of a table as searches, by its keys. Raises InputError where it is
        missing."""
        return self.built(key, _wordings)

    def built(self, key: str, build: Callable[[Any, str], T]) -> T:
        """Returns what `build` makes of a parameter and the pack's path, built once: what a rule
        searches for is the same for every label. Raises InputError where it is missing."""
        if (key, build) not in self._built:
            self._built[key, build] = build(self[key], self._where[1])
        value: T = self._built[key, build]
        return value

    def changed(self, values: Mapping[str, Any]) -> "Parameters":
        """Returns the same with other values for some."""
        return Parameters({**self._values, **values}, self._where)

    def _fault(self, message: str, expected: str) -> InputError:
        rule, path, line = self._where
        return InputError(Fault(path, line or None, None, f"rule `{rule}`: {message}", expected))


def _texts(value: Any, where: str) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else tuple(value)


def _wording(value: Any, where: str) -> Wording:
    return Wording(value)


def _wordings(value: Mapping[str, Any], where: str) -> dict[str, Wording]:
    return {key: Wording(words) for key, words in value.items()}
