"""The JSON Schemas of the outputs, made of the types in `panellint.results`.

JSON Schema, draft 2020-12. Keys may be added to an output and are never renamed, so that a schema
leaves further keys open; `version` counts the changes that would break a reader.
"""

import types
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import Any, Union, get_args, get_origin, get_type_hints

from panellint.core.findings import Certainty, Severity

#: The version of the outputs' shape; each output carries it.
VERSION = 1
DIALECT = "https://json-schema.org/draft/2020-12/schema"
#: Outputs by name: the command whose `--format json` prints it, and its type.
OUTPUTS = {
    "blend": "foods:Blend",
    "changes": "changes:LabelChanges",
    "compare": "foods:Comparison",
    "declare": "batch:Declaration",
    "ingredient": "ingredient:IngredientEntry",
    "lint": "findings:Linted",
    "nutrition": "nutrition:Nutrition",
    "outline": "outline:Outline",
    "plan": "foods:Plan",
    "reconcile": "batch:Reconciliation",
    "reformulate": "batch:Reformulation",
    "release": "release:Release",
    "report": "report:Report",
    "requirements": "requirements:RequirementSheet",
    "rule": "rules:RuleData",
    "shares": "shares:Shares",
    "trace": "trace:Trace",
}
_PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    int: {"type": "integer"},
    float: {"type": "number"},
    bool: {"type": "boolean"},
    type(None): {"type": "null"},
    Any: {},
    object: {},
}


def output_schema(name: str, rules: Sequence[str], markets: Sequence[str]) -> dict[str, Any]:
    """Returns the schema of one output; `rules` and `markets` are the words that a rule and a
    market can be. Raises KeyError for a name that is none."""
    module, _, kind = OUTPUTS[name].partition(":")
    words = {
        "severity": [*(severity.value for severity in Severity), "off"],
        "certainty": [certainty.value for certainty in Certainty],
        "market": list(markets),
    }
    schemas = _Schemas(words, list(rules))
    root = schemas.of(getattr(import_module(f"panellint.results.{module}"), kind))
    whole = schemas.definitions.pop(root["$ref"].rpartition("/")[2])
    whole["properties"] = {"version": {"const": VERSION}, **whole["properties"]}
    whole["required"] = ["version", *whole["required"]]
    return {
        "$schema": DIALECT,
        "$id": f"urn:panellint:schema:{name}:{VERSION}",
        "title": f"panellint {name} --format json",
        **whole,
        "$defs": dict(sorted(schemas.definitions.items())),
    }


class _Schemas:
    """Makes schemas of types, and keeps a definition of each typed object."""

    def __init__(self, words: Mapping[str, list[str]], rules: list[str]) -> None:
        self.definitions: dict[str, dict[str, Any]] = {}
        self._words = words
        self._rules = rules

    def of(self, kind: Any) -> dict[str, Any]:
        """Returns the schema of a type. Raises TypeError for one that JSON has no shape for."""
        if kind in _PLAIN:
            return dict(_PLAIN[kind])
        origin, inner = get_origin(kind), get_args(kind)
        if origin in (Union, types.UnionType):
            return {"anyOf": [self.of(part) for part in inner]}
        if origin in (list, Sequence):
            return {"type": "array", "items": self.of(inner[0])}
        if origin in (dict, Mapping):
            return {"type": "object", "additionalProperties": self.of(inner[1])}
        if hasattr(kind, "__required_keys__"):
            return self._object(kind)
        raise TypeError(f"no JSON Schema for {kind}")

    def _object(self, kind: Any) -> dict[str, Any]:
        name = kind.__name__
        if name not in self.definitions:
            self.definitions[name] = {}  # what refers to itself finds its name
            hints = get_type_hints(kind)
            self.definitions[name] = {
                "type": "object",
                "description": " ".join((kind.__doc__ or "").split()),
                "properties": {key: self._property(key, hint) for key, hint in hints.items()},
                "required": [key for key in hints if key in kind.__required_keys__],
            }
        return {"$ref": f"#/$defs/{name}"}

    def _property(self, key: str, kind: Any) -> dict[str, Any]:
        if key in self._words and kind in (str, str | None):
            return {"enum": [*self._words[key], *([None] if kind is not str else [])]}
        if kind is str and key == "rule":  # or one of a pack of the user's own
            return {"anyOf": [{"enum": self._rules}, {"type": "string"}]}
        return self.of(kind)
