"""A rule's parameters against what its check declares: faults, typed values, JSON Schema."""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from panellint.core import wording
from panellint.rulepacks.compile.errors import suggestion, unknown
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import EXPRESSIONS, data
from panellint.rulepacks.parameters import (
    CHOICE_FIELDS,
    CHOICE_WORDS,
    REQUIRED,
    Declaration,
    Parameter,
    Type,
)

Given = Mapping[str, Any]
#: The key under which words of a built-in pack name regular expressions.
NAMED = "named"


def check_parameters(
    document: Document,
    loc: Loc,
    given: Given,
    declared: tuple[Parameter, ...],
    of: str,
    *,
    whole: bool = True,
) -> None:
    """Refuses each parameter that is unknown or of another type, and of a `whole` each that is
    missing."""
    by_name = {parameter.name: parameter for parameter in declared}
    for name, value in given.items():
        if name in by_name:
            _check(document, (*loc, name), value, by_name[name])
        else:
            message = f"unknown parameter `{name}` of {of}"
            document.refuse((*loc, name), message, suggestion(name, by_name), key=True)
    for parameter in declared if whole else ():
        if parameter.default is REQUIRED and parameter.name not in given:
            message = f"parameter `{parameter.name}` of {of} is missing"
            document.refuse(loc, message, parameter.type)


def defaults(declaration: Declaration) -> dict[str, Any]:
    """Returns the values of what a rule need not give, but for what may be left out."""
    return {
        parameter.name: parameter.default
        for parameter in declaration.parameters
        if parameter.default is not REQUIRED and parameter.default is not None
    }


def typed(given: Given, declared: tuple[Parameter, ...], *, own: bool) -> dict[str, Any]:
    """Returns parameters as checks read them: a list where one text stands for a list. `own` are
    those of a user's file, whose regular expressions are run by a linear search."""
    by_name = {parameter.name: parameter for parameter in declared}
    return {
        name: _value(value, by_name[name], own) if name in by_name else value
        for name, value in given.items()
    }


def _value(value: Any, parameter: Parameter, own: bool) -> Any:
    if parameter.type in _LISTS:
        listed = value if isinstance(value, list) else [value]
        if parameter.type is Type.WORDS:
            listed = [_spelled_out(item) for item in listed]
        return [_linear(item) for item in listed] if own else listed
    if parameter.type is Type.TABLE:
        return {key: _value(item, parameter.fields[0], own) for key, item in value.items()}
    if parameter.type is Type.GROUP:
        return typed(value, parameter.fields, own=own)
    if parameter.type is Type.ROWS:
        return [typed(row, parameter.fields, own=own) for row in value]
    return value


def _spelled_out(item: Any) -> Any:
    """Returns words with what they name in place of the names: a regular expression, or words of
    each language."""
    if not isinstance(item, Mapping) or NAMED not in item:
        return item
    own = {key: value for key, value in item.items() if key != NAMED}
    for name in wording.items(item[NAMED]):
        given = data(EXPRESSIONS)["expressions"][name]
        for words in [{"regex": given}] if isinstance(given, str) else given.values():
            for key, more in words.items():
                own[key] = [*wording.items(own.get(key, [])), *wording.items(more)]
    return own


def _linear(item: Any) -> Any:
    if isinstance(item, list):
        return [_linear(part) for part in item]
    if not isinstance(item, Mapping):
        return item
    return {
        wording.LINEAR if key == "regex" else key: _linear(value) if key == "not" else value
        for key, value in item.items()
    }


_LISTS = (Type.TEXTS, Type.COUNTS, Type.WORDS, Type.INGREDIENTS)


def _check(document: Document, loc: Loc, value: Any, parameter: Parameter) -> None:
    of = f"parameter `{parameter.name}`"
    if parameter.type in (Type.WORDS, Type.INGREDIENTS):
        for number, item in enumerate(wording.items(value)):
            at = (*loc, number) if isinstance(value, list) else loc
            check = _check_words if parameter.type is Type.WORDS else _check_choice
            check(document, at, item, of)
    elif not _FITS[parameter.type](value):
        document.refuse(loc, f"{of} is {_kind_of(value)}", parameter.type)
    elif parameter.type is Type.TABLE:
        for key, item in value.items():
            if parameter.values and key not in parameter.values:
                unknown(document, (*loc, key), f"key of {of}", key, parameter.values, key=True)
            _check(document, (*loc, key), item, parameter.fields[0])
    elif parameter.type is Type.GROUP:
        check_parameters(document, loc, value, parameter.fields, of)
    elif parameter.type is Type.ROWS:
        for number, row in enumerate(value):
            check_parameters(document, (*loc, number), row, parameter.fields, of)
    elif parameter.values:
        for number, word in enumerate(wording.items(value)):
            if word not in parameter.values:
                at = (*loc, number) if isinstance(value, list) else loc
                unknown(document, at, f"value of {of}", word, parameter.values)


def _check_words(document: Document, loc: Loc, item: Any, of: str) -> None:
    """Checks one of a list of words: a phrase, or a mapping of the keys of `core.wording`."""
    if isinstance(item, Mapping):
        keys = wording.KEYS if document.own else (*wording.KEYS, NAMED)
        _check_keys(document, loc, item, keys, of)
        known = data(EXPRESSIONS)["expressions"]
        for name in wording.items(item.get(NAMED, [])):
            if name not in known:
                unknown(document, (*loc, NAMED), "regular expression", name, known)
        item = {key: value for key, value in item.items() if key != NAMED}
    elif not isinstance(item, str):
        document.refuse(loc, f"{of} is {_kind_of(item)}", Type.WORDS)
        return
    if document.own and isinstance(item, Mapping) and "regex" in item:
        # A linear search looks neither ahead nor back.
        for key in sorted({"not-before", "not-after"} & item.keys()):
            message = f"`{key}` does not stand beside `regex` in a pack of one's own"
            document.refuse((*loc, key), message, key=True)
    _check_searches(document, loc, item)


def _check_choice(document: Document, loc: Loc, item: Any, of: str) -> None:
    """Checks one alternative of a choice of ingredients."""
    if not isinstance(item, Mapping) or not item:
        document.refuse(loc, f"{of} is {_kind_of(item)}", Type.INGREDIENTS)
        return
    _check_keys(document, loc, item, (*CHOICE_FIELDS, *CHOICE_WORDS, "not"), of)
    _check_searches(document, loc, {key: item[key] for key in CHOICE_WORDS if key in item})
    for key in CHOICE_FIELDS:
        if key in item and not _is_texts(item[key]):
            message = f"`{key}` of {of} is {_kind_of(item[key])}"
            document.refuse((*loc, key), message, Type.TEXTS)
    for number, other in enumerate(wording.items(item["not"]) if "not" in item else ()):
        below = (*loc, "not", number) if isinstance(item["not"], list) else (*loc, "not")
        _check_choice(document, below, other, of)


def _check_keys(document: Document, loc: Loc, item: Given, known: tuple[str, ...], of: str) -> None:
    for key in item:
        if key not in known:
            unknown(document, (*loc, key), f"key of {of}", key, known, key=True)


def _check_searches(document: Document, loc: Loc, item: Any) -> None:
    for place, key, text in wording.sources(item):
        if not isinstance(text, str):
            message = f"`{key}` holds {_kind_of(text)}"
            document.refuse((*loc, *place), message, Type.TEXT)
            continue
        if document.own and key == "regex":
            key = wording.LINEAR
        try:
            alone = key in ("exact", "regex", wording.LINEAR)
            wording.Wording({key: text} if alone else text).compiled()
        except ValueError as error:
            message = str(error)
        except re.error as error:
            message = f"`{text}` is no regular expression: {error}"
        else:
            continue
        document.refuse((*loc, *place), message)


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _is_texts(value: Any) -> bool:
    return all(isinstance(item, str) for item in wording.items(value))


_FITS: dict[Type, Callable[[Any], bool]] = {
    Type.NUMBER: lambda value: isinstance(value, int | float) and not isinstance(value, bool),
    Type.COUNT: _is_count,
    Type.FLAG: lambda value: isinstance(value, bool),
    Type.TEXT: lambda value: isinstance(value, str),
    Type.TEXTS: _is_texts,
    Type.COUNTS: lambda value: all(map(_is_count, wording.items(value))),
    Type.TABLE: lambda value: isinstance(value, dict),
    Type.GROUP: lambda value: isinstance(value, dict),
    Type.ROWS: lambda value: (
        isinstance(value, list) and all(isinstance(row, dict) for row in value)
    ),
}


def _kind_of(value: object) -> str:
    kinds = {
        bool: Type.FLAG,
        int: Type.NUMBER,
        float: Type.NUMBER,
        str: Type.TEXT,
        dict: Type.TABLE,
    }
    return "a list" if isinstance(value, list) else kinds.get(type(value), "nothing")


_TEXT = {"type": "string"}
_SEARCHES = {"anyOf": [_TEXT, {"type": "array", "items": _TEXT}]}
_WORDS = {"anyOf": [_TEXT, {"$ref": "#/$defs/Wording"}]}
_CHOICE = {"$ref": "#/$defs/Choice"}

#: The definitions that the schemas of parameters refer to.
DEFINITIONS: dict[str, Any] = {
    "Wording": {
        "type": "object",
        "properties": dict.fromkeys((*wording.KEYS, NAMED), _SEARCHES),
        "additionalProperties": False,
    },
    "Choice": {
        "type": "object",
        "properties": {
            **dict.fromkeys((*CHOICE_FIELDS, *CHOICE_WORDS), _SEARCHES),
            "not": {"anyOf": [_CHOICE, {"type": "array", "items": _CHOICE}]},
        },
        "additionalProperties": False,
        "minProperties": 1,
    },
}


def _mapping(declared: tuple[Parameter, ...]) -> dict[str, Any]:
    """Returns the JSON Schema of parameters. None is required there: some may stand in `for`, or in
    the pack's defaults."""
    return {
        "type": "object",
        "properties": {parameter.name: _described(parameter) for parameter in declared},
        "additionalProperties": False,
    }


def _described(parameter: Parameter) -> dict[str, Any]:
    unit = f" In {parameter.unit}." if parameter.unit else ""
    schema = {**_schema(parameter), "description": f"{parameter.meaning}{unit}"}
    if parameter.default not in (REQUIRED, None):
        schema["default"] = parameter.default
    return schema


def _schema(parameter: Parameter) -> dict[str, Any]:
    values = {"enum": list(parameter.values)} if parameter.values else _TEXT
    count = {"type": "integer", "minimum": 0}
    match parameter.type:
        case Type.NUMBER:
            return {"type": "number"}
        case Type.COUNT:
            return count
        case Type.FLAG:
            return {"type": "boolean"}
        case Type.TEXT:
            return dict(values)
        case Type.TABLE:
            names = {"propertyNames": values} if parameter.values else {}
            return {"type": "object", "additionalProperties": _schema(parameter.fields[0]), **names}
        case Type.GROUP:
            return _mapping(parameter.fields)
        case Type.ROWS:
            return {"type": "array", "items": _mapping(parameter.fields)}
    item = {Type.COUNTS: count, Type.WORDS: _WORDS, Type.INGREDIENTS: _CHOICE}.get(
        parameter.type, values
    )
    return {"anyOf": [item, {"type": "array", "items": item}]}


def conditions(declarations: Mapping[str, Declaration]) -> Iterator[dict[str, Any]]:
    """Yields, for each check, what its name asks of a rule's parameters and texts."""
    for name, declaration in declarations.items():
        variants = {"propertyNames": {"enum": ["", *declaration.variants]}}
        yield {
            "if": {"properties": {"check": {"const": name}}},
            "then": {
                "properties": {
                    "with": _mapping(declaration.parameters),
                    "says": {"anyOf": [_TEXT, variants]},
                }
            },
        }
