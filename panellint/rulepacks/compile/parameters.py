"""A rule's parameters against what its check declares: models of them that validate, bring each
value into the form that checks read, and are published as JSON Schema."""

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
    WrapValidator,
    create_model,
)
from pydantic.json_schema import models_json_schema
from pydantic_core import PydanticCustomError

from panellint.core import wording
from panellint.rulepacks import registry
from panellint.rulepacks.compile.errors import validated
from panellint.rulepacks.compile.models import KEBAB, Model, Pack, one_of, published
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import EXPRESSIONS, data
from panellint.rulepacks.parameters import REQUIRED, Parameter, Type


def typed(
    document: Document, loc: Loc, check: str, given: Mapping[str, Any], *, whole: bool = True
) -> dict[str, Any] | None:
    """Returns parameters as checks read them: a list where one text stands for a list, words in
    place of their names, and of a `whole` what has a default and is not given. None with the faults
    added where one is unknown or of another type, or where of a `whole` one is missing."""
    model = validated(document, model_of(check, whole), given, loc)
    if model is None:
        return None
    return model.model_dump(
        by_alias=True, exclude_unset=not whole, exclude_none=True, warnings=False
    )


@cache
def model_of(check: str, whole: bool) -> type[Model]:
    """Returns the model of a check's parameters; with `whole`, those without a default must be
    there. The check declares them."""
    declaration = registry.declaration(check)
    assert declaration is not None
    return _model("With", declaration.parameters, whole)


def _model(name: str, declared: tuple[Parameter, ...], whole: bool) -> type[Model]:
    fields: dict[str, Any] = {}
    for parameter in declared:
        unit = f" In {parameter.unit}." if parameter.unit else ""
        default: dict[str, Any] = {"default": parameter.default}
        if parameter.default is None or (parameter.default is REQUIRED and not whole):
            default = {"default_factory": lambda: None}  # so that the schema names none
        field = Field(alias=parameter.name, description=f"{parameter.meaning}{unit}", **default)
        # The line keeps a name from being one of the model's own.
        fields[parameter.name.replace("-", "_") + "_"] = (_type(parameter), field)
    return create_model(name, __base__=Model, **fields)


def _type(parameter: Parameter) -> Any:
    """Returns the type that a parameter has in its model."""
    words: Any = str
    if parameter.values:
        known = Annotated[str, one_of(f"value of `{parameter.name}`", lambda: parameter.values)]
        words = Annotated[known, Field(json_schema_extra={"enum": list(parameter.values)})]
    match parameter.type:
        case Type.TABLE:
            return dict[words, _type(parameter.fields[0])]  # type: ignore[misc]
        case Type.GROUP:
            return _model(parameter.name, parameter.fields, True)
        case Type.ROWS:
            return list[_model(parameter.name, parameter.fields, True)]  # type: ignore[misc]
        case Type.TEXT:
            return words
        case Type.TEXTS:
            return _list_of(words)
    return _TYPES[parameter.type]


def _as_list(value: object) -> object:
    return value if isinstance(value, list) else [value]


def _list_of(item: Any) -> Any:
    """Returns the type of a list of which one item stands for a list too."""
    listed = BeforeValidator(_as_list, json_schema_input_type=item | list[item])
    return Annotated[list[item], listed]


def _as_given(value: Any, check: Callable[[Any], Any]) -> Any:
    check(value)
    return value


def _refuse(message: str) -> PydanticCustomError:
    return PydanticCustomError("refused", "{message}", {"message": message})


def _search(text: str, info: ValidationInfo) -> str:
    """Refuses words or a regular expression that cannot be searched for. Those of a user's own
    packs are run by a linear search, which looks neither ahead nor back."""
    key, own = str(info.field_name).replace("_", "-"), bool(info.context and info.context["own"])
    if own and key.startswith("not-") and info.data.get("regex"):
        raise _refuse(f"`{key}` does not stand beside `regex` in a pack of one's own")
    if own and key == "regex":
        key = wording.LINEAR
    try:
        alone = key in ("exact", "regex", wording.LINEAR)
        wording.Wording({key: text} if alone else text).compiled()
    except ValueError as error:
        raise _refuse(str(error)) from None
    except re.error as error:
        raise _refuse(f"`{text}` is no regular expression: {error}") from None
    return text


def _named(name: str, info: ValidationInfo) -> str:
    if info.context and info.context["own"]:
        raise _refuse("`named` stands for the regular expressions of built-in packs")
    return name


def _expressions() -> list[str]:
    return list(data(EXPRESSIONS)["expressions"])


_LISTED = BeforeValidator(_as_list, json_schema_input_type=str | list[str])
Texts = Annotated[list[str], _LISTED, Field(default_factory=list)]
Searches = Annotated[
    list[Annotated[str, AfterValidator(_search)]], _LISTED, Field(default_factory=list)
]
Named = Annotated[str, one_of("regular expression", _expressions), AfterValidator(_named)]


class Wording(Model):
    """Words to search for by the keys of `core.wording`; `named` are regular expressions, or words
    of each language, by their name in the data."""

    words: Searches
    exact: Searches
    regex: Searches
    not_before: Annotated[Searches, Field(alias="not-before")]
    not_after: Annotated[Searches, Field(alias="not-after")]
    named: Annotated[list[Named], _LISTED, Field(default_factory=list)]


_CHOICE = {"$ref": "#/$defs/Choice"}


class Choice(Model):
    """What the catalogue's entry of an ingredient must be, or its printed words."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})

    id: Texts
    kind: Texts
    family: Texts
    species: Texts
    origin: Texts
    state: Texts
    is_: Annotated[Texts, Field(alias="is")]
    words: Searches
    exact: Searches
    regex: Searches
    not_: Annotated[
        list["Choice"],
        BeforeValidator(_as_list),
        WithJsonSchema({"anyOf": [_CHOICE, {"type": "array", "items": _CHOICE}]}),
        Field(alias="not", default_factory=list),
    ]


def _words(item: Any, check: Callable[[Any], Any], info: ValidationInfo) -> Any:
    """Returns words with what they name in place of the names."""
    if not isinstance(item, str | Mapping):
        raise PydanticCustomError("no_words", Type.WORDS.value)
    check({"words": item} if isinstance(item, str) else item)
    if isinstance(item, str) or "named" not in item:
        return _linear(item, info)
    own = {key: value for key, value in item.items() if key != "named"}
    for name in wording.items(item["named"]):
        given = data(EXPRESSIONS)["expressions"][name]
        for words in [{"regex": given}] if isinstance(given, str) else given.values():
            for key, more in words.items():
                own[key] = [*wording.items(own.get(key, [])), *wording.items(more)]
    return own


def _choice(item: Any, check: Callable[[Any], Any], info: ValidationInfo) -> Any:
    if not isinstance(item, Mapping) or not item:
        raise PydanticCustomError("no_choice", Type.INGREDIENTS.value)
    check(item)
    return _linear(item, info)


def _linear(item: Any, info: ValidationInfo) -> Any:
    """Returns an item of a user's own pack with its regular expressions under the key of those that
    a linear search runs."""
    if isinstance(item, list):
        return [_linear(part, info) for part in item]
    if not isinstance(item, Mapping) or not (info.context and info.context["own"]):
        return item
    return {
        wording.LINEAR if key == "regex" else key: _linear(value, info) if key == "not" else value
        for key, value in item.items()
    }


_TYPES: dict[Type, Any] = {
    Type.NUMBER: Annotated[float, WrapValidator(_as_given)],
    Type.COUNT: Annotated[int, Field(ge=0)],
    Type.COUNTS: _list_of(Annotated[int, Field(ge=0)]),
    Type.FLAG: bool,
    Type.WORDS: _list_of(
        Annotated[Wording, WrapValidator(_words, json_schema_input_type=str | Wording)]
    ),
    Type.INGREDIENTS: _list_of(Annotated[Choice, WrapValidator(_choice)]),
}


def pack_schema() -> dict[str, Any]:
    """Returns the JSON Schema of a pack; for each check of ours its parameters and texts. None is
    required there: some may stand in `for`, or in the pack's defaults."""
    schema = Pack.model_json_schema(by_alias=True)
    rule = schema["$defs"]["Rule"]
    rule["properties"]["check"]["anyOf"] = [{"enum": list(registry.names())}, {"pattern": KEBAB}]
    rule["required"] = [key for key in rule["required"] if key not in ("severity", "source")]
    models = {check: model_of(check, False) for check in registry.ours()}
    mode: Literal["validation"] = "validation"
    inputs = [(model, mode) for model in models.values()]
    shapes, definitions = models_json_schema(inputs, by_alias=True)
    rule["allOf"] = [
        {
            "if": {"properties": {"check": {"const": check}}},
            "then": {"properties": {"with": shapes[model, mode], "says": _texts(check)}},
        }
        for check, model in models.items()
    ]
    schema["$defs"] |= definitions["$defs"]
    return published(schema, "panellint rule pack")


def _texts(check: str) -> dict[str, Any]:
    declaration = registry.declaration(check)
    variants = ["", *(declaration.variants if declaration else ())]
    return {"anyOf": [{"type": "string"}, {"propertyNames": {"enum": variants}}]}
