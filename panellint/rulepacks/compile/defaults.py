"""The `defaults:` of a pack: what each of its rules has that gives nothing of its own."""

from typing import Any

from panellint.core.errors import PanellintError
from panellint.rulepacks import registry
from panellint.rulepacks.compile import models
from panellint.rulepacks.compile.errors import suggestion, validated
from panellint.rulepacks.compile.yaml_source import Document, Loc

#: Keys of a rule that are taken whole, and those of which each key is taken for itself.
WHOLE = ("severity", "source")
BY_KEY = ("for", "with")


def apply(document: Document) -> bool:
    """Gives the rules of a document its defaults, each value with the place where it stands.

    False where the defaults are faulty: the faults stand in the document, and what is wrong with
    the rules cannot be told from them. A parameter is given to rules alone whose check takes it;
    one that none takes is a fault.
    """
    data = document.data
    if not isinstance(data, dict) or not isinstance(data.get("defaults"), dict):
        return True
    defaults = data["defaults"]
    own = Document(document.path, defaults, **_places(document))
    if validated(own, models.Defaults) is None:
        document.faults += own.faults
        return False
    rules = data.get("rules")
    taken: set[str] = set()
    for number, rule in enumerate(rules if isinstance(rules, list) else ()):
        if isinstance(rule, dict):
            taken |= _give(document, ("rules", number), rule, defaults)
    for name in defaults.get("with") or ():
        if name not in taken:
            message = f"no rule of this pack takes the parameter `{name}`"
            loc = ("defaults", "with", name)
            document.faults.append(document.fault(loc, message, suggestion(name, taken), key=True))
    return not document.faults


def _give(document: Document, at: Loc, rule: dict[str, Any], defaults: dict[str, Any]) -> set[str]:
    """Gives one rule what it lacks; returns the names of parameters that its check takes."""
    for key in WHOLE:
        if key in defaults and key not in rule:
            rule[key] = defaults[key]
            _copy_places(document, ("defaults", key), (*at, key))
    names = _names(rule.get("check"))
    for key in BY_KEY:
        own = rule.setdefault(key, {}) if defaults.get(key) else rule.get(key)
        if not isinstance(own, dict):
            continue
        for name, value in (defaults.get(key) or {}).items():
            if name not in own and (key == "for" or name in names):
                own[name] = value
                _copy_places(document, ("defaults", key, name), (*at, key, name))
    return names


def _names(check: object) -> set[str]:
    """Returns the names of the parameters that a check takes."""
    try:
        declaration = registry.declaration(check) if isinstance(check, str) else None
    except PanellintError:
        return set()
    return {parameter.name for parameter in declaration.parameters} if declaration else set()


def _places(document: Document) -> dict[str, Any]:
    """Returns the places of the defaults as those of a document of their own."""
    return {
        field: {
            loc[1:]: place
            for loc, place in getattr(document, field).items()
            if loc[:1] == ("defaults",)
        }
        for field in ("values", "keys")
    }


def _copy_places(document: Document, origin: Loc, to: Loc) -> None:
    for places in (document.values, document.keys):
        for loc in [loc for loc in places if loc[: len(origin)] == origin]:
            places.setdefault((*to, *loc[len(origin) :]), places[loc])
