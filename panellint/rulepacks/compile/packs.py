"""Packs compiled: read, given their defaults, validated, checked against one another, every fault
at once."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from panellint.core.errors import InputError, PanellintError
from panellint.core.text import one_line
from panellint.rulepacks import registry
from panellint.rulepacks.compile import models, parameters, yaml_source
from panellint.rulepacks.compile.errors import items, suggestion, unknown, validated
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import PACK_FOLDERS
from panellint.rulepacks.model import Applies
from panellint.rulepacks.parameters import Declaration


def compile_packs(files: Iterable[Path], own: Iterable[Path]) -> dict[str, Any]:
    """Returns the built-in packs and a user's own as JSON data: rules in order, then changes.

    Raises InputError with every fault of every file.
    """
    compiling = _Compiling()
    for path in files:
        compiling.add(path, folder=path.parent.name)
    for path in own:
        compiling.add(path)
    compiling.check_use()
    compiling.check_changes()
    if compiling.faults:
        raise InputError(*compiling.faults)
    return {"rules": list(compiling.rules.values()), "changes": compiling.changes}


@dataclass
class _Compiling:
    documents: list[Document] = field(default_factory=list)
    rules: dict[str, dict[str, Any]] = field(default_factory=dict)
    changes: list[dict[str, Any]] = field(default_factory=list)
    #: Where each rule and each change was given: document, place, whether it is built in.
    origin: dict[str, tuple[Document, Loc, bool]] = field(default_factory=dict)
    wanted: list[tuple[Document, Loc, str]] = field(default_factory=list)
    #: Ids of rules that were refused: naming one is no fault of its own.
    refused: set[str] = field(default_factory=set)

    @property
    def faults(self) -> list[Any]:
        """Returns every fault, in the order of the files and of the lines in each."""
        return [fault for document in self.documents for fault in document.in_order()]

    def add(self, path: Path, folder: str = "") -> None:
        """Reads one pack; `folder` is the built-in folder it lies in, "" for a user's own."""
        document = yaml_source.read(path)
        document.own = not folder
        self.documents.append(document)
        if document.broken:
            return
        if not with_defaults(document):
            return
        pack = validated(document, models.Pack)
        given = document.data.get("pack") if isinstance(document.data, dict) else None
        name = pack.pack if pack else given if isinstance(given, str) else ""
        self._check_name(document, name, folder)
        rules = dict(items(document, "rules", models.Rule))
        self.refused |= {
            str(rule["id"])
            for index, rule in enumerate(_list(document, "rules"))
            if index not in rules and isinstance(rule, dict) and "id" in rule
        }
        for index, rule in rules.items():
            self._add_rule(document, ("rules", index), name, rule, folder, path)
        if folder and (_list(document, "change") or _list(document, "off")):
            at: Loc = ("change",) if _list(document, "change") else ("off",)
            document.refuse(at, "a built-in pack changes no other pack", key=True)
        for index, change in items(document, "change", models.Change):
            at = ("change", index)
            self.wanted.append((document, (*at, "rule"), change.rule))
            self.changes.append({"rule": change.rule, **changed(document, at, change)})
        for index, switched in enumerate(_list(document, "off")):
            if isinstance(switched, str):
                self.wanted.append((document, ("off", index), switched))
                self.changes.append({"rule": switched, "severity": "off"})

    def _check_name(self, document: Document, name: str, folder: str) -> None:
        if folder and name and name != folder:
            document.refuse(("pack",), f"pack `{name}` lies in `{folder}`", f"`{folder}`")
        if not folder and name in PACK_FOLDERS:
            message = f"`{name}` is the name of a built-in pack"
            document.refuse(("pack",), message, "a name of your own")

    def _add_rule(
        self, document: Document, at: Loc, pack: str, rule: models.Rule, folder: str, path: Path
    ) -> None:
        if rule.id in self.origin:
            before, place, _ = self.origin[rule.id]
            line = (before.place(place) or (0, 0))[0]
            message = f"rule `{rule.id}` is there already ({before.path}:{line})"
            document.refuse((*at, "id"), message, "an id of its own")
            return
        extra = rule.for_.model_extra or {}
        for key in sorted(extra.keys() & rule.with_.keys()):
            message = f"parameter `{key}` stands in `for` and in `with`"
            document.refuse((*at, "with", key), message, key=True)
        if not rule.source.document and not rule.source.practice:
            document.refuse(
                (*at, "source"), "the source names nothing", "a document, or `practice: true`"
            )
        self.origin[rule.id] = (document, at, bool(folder))
        line = (document.place(at) or (0, 0))[0]
        self.rules[rule.id] = _compiled(document, at, pack, rule) | {
            "path": str(path),
            "line": line,
        }
        if folder in models.market_ids() and not rule.for_.market:
            self.rules[rule.id]["applies"]["market"] = [folder]

    def check_use(self) -> None:
        """Checks parameters and texts of each rule by what its check declares, and gives the
        parameters their types."""
        for name, (document, at, _) in self.origin.items():
            rule = self.rules[name]
            declaration = declared(document, (*at, "check"), rule["check"])
            if declaration is None:
                continue
            given = parameters.typed(document, (*at, "with"), rule["check"], rule["with"])
            variants(document, (*at, "says"), rule["says"], declaration, rule["check"])
            rule["with"] = given or {}

    def check_changes(self) -> None:
        """Checks that changes and switches name rules that are there, and parameters and texts
        that their checks take."""
        for (document, loc, name), change in zip(self.wanted, self.changes, strict=True):
            if name in self.refused and name not in self.rules:
                continue
            if name not in self.rules:
                unknown(document, loc, "rule", name, self.rules)
                continue
            declaration = registry.declaration(self.rules[name]["check"])
            if declaration is None:
                continue
            check, at = self.rules[name]["check"], loc[:-1]
            variants(document, (*at, "says"), change.get("says", {}), declaration, check)
            if given := change.get("with"):
                change["with"] = parameters.typed(
                    document, (*at, "with"), check, given, whole=False
                )


def declared(document: Document, loc: Loc, check: str) -> Declaration | None:
    """Returns what a check declares; a check that cannot be loaded is a fault."""
    try:
        return registry.declaration(check)
    except PanellintError as error:
        document.refuse(loc, str(error))
        return None


def variants(
    document: Document, loc: Loc, says: Iterable[str], declaration: Declaration, check: str
) -> None:
    """Adds a fault for each text of a variant that the check does not have."""
    for variant in says:
        if variant and variant not in declaration.variants:
            message = f"unknown variant `{variant}` of check `{check}`"
            expected = suggestion(variant, declaration.variants)
            document.refuse((*loc, variant), message, expected, key=True)


def _list(document: Document, key: str) -> list[Any]:
    rows = document.data.get(key) if isinstance(document.data, dict) else None
    return rows if isinstance(rows, list) else []


def changed(
    document: Document, at: Loc, change: models.Change | models.RuleSettings
) -> dict[str, Any]:
    """Returns a change as `packs.change_of` reads it."""
    data: dict[str, Any] = {}
    if change.severity is not None:
        data["severity"] = _severity(document, (*at, "severity"), change.severity)
    if change.with_:
        data["with"] = change.with_
    if isinstance(change, models.Change) and change.says:
        data["says"] = {context: text.strip() for context, text in change.says.items()}
    return data


def _severity(document: Document, at: Loc, severity: models.BySeverity) -> Any:
    """Returns a plain word stays one: it means "for every certainty that is on"."""
    if not any((*at, certainty) in document.keys for certainty in models.CERTAINTIES):
        return severity.proven or {}
    return severity.model_dump(exclude_none=True)


def _compiled(document: Document, at: Loc, pack: str, rule: models.Rule) -> dict[str, Any]:
    return {
        "id": rule.id,
        "title": rule.title.strip(),
        "check": rule.check,
        "severity": _severity(document, (*at, "severity"), rule.severity),
        "applies": rule.for_.model_dump(include=set(Applies._fields)),
        "with": {**(rule.for_.model_extra or {}), **rule.with_},
        "says": {context: one_line(text) for context, text in rule.says.items()},
        "because": one_line(rule.because),
        "source": source_data(rule.source),
        "examples": rule.examples.model_dump(),
        "pack": pack,
        "yields_to": rule.yields_to,
    }


def source_data(source: models.Source) -> dict[str, Any]:
    """Returns a source as `RuleSource` takes it; dates and editions are texts."""
    dates = {key: str(getattr(source, key)) for key in ("edition", "since", "until")}
    return source.model_dump() | dates


#: Keys of a rule that are taken whole, and those of which each key is taken for itself.
WHOLE = ("severity", "source")
BY_KEY = ("for", "with")


def with_defaults(document: Document) -> bool:
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
            document.refuse(loc, message, suggestion(name, taken), key=True)
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
