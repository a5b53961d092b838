"""Packs compiled: read, validated, checked against one another, every fault at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from panellint.core.errors import InputError
from panellint.core.text import one_line
from panellint.rulepacks.compile import models, yaml_source
from panellint.rulepacks.compile.errors import items, suggestion, unknown, validated
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import PACK_FOLDERS

#: Keys of `for` that lint itself looks at, with the name of their field in `Applies`.
APPLIES = {
    "market": "markets",
    "edition": "editions",
    "species": "species",
    "form": "forms",
    "stage": "stages",
    "use": "uses",
}


def compile_packs(files: Iterable[Path], own: Iterable[Path]) -> dict[str, Any]:
    """The built-in packs and a user's own as JSON data: rules in order, then changes.

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


def kind_of(value: object) -> str:
    """What sort of parameter a value is, in words."""
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, int | float):
        return "a number"
    if isinstance(value, str):
        return "a text"
    if isinstance(value, list):
        return "a list"
    return "keys and values" if isinstance(value, dict) else "nothing"


def parameter_faults(
    document: Document, loc: Loc, given: Mapping[str, Any], known: Mapping[str, set[str]], of: str
) -> None:
    """Faults of parameters against those that are known, by name and kind."""
    for name, value in given.items():
        at = (*loc, name)
        if name not in known:
            document.faults.append(
                document.fault(
                    at, f"unknown parameter `{name}` of {of}", suggestion(name, known), key=True
                )
            )
        elif kind_of(value) not in known[name]:
            expected = " or ".join(sorted(known[name]))
            document.faults.append(
                document.fault(at, f"parameter `{name}` is {kind_of(value)}", expected)
            )


def expression_faults(document: Document, loc: Loc, given: object) -> None:
    """Faults of the regular expressions below a key `words`, however deep."""
    if isinstance(given, Mapping):
        for key, value in given.items():
            below = (*loc, key)
            if key == "words":
                _expressions(document, below, value)
            else:
                expression_faults(document, below, value)
    elif isinstance(given, list):
        for number, value in enumerate(given):
            expression_faults(document, (*loc, number), value)


def _expressions(document: Document, loc: Loc, given: object) -> None:
    listed = given if isinstance(given, list) else [given]
    for number, value in enumerate(listed):
        if not isinstance(value, str):
            continue
        try:
            re.compile(value)
        except re.error as error:
            at = (*loc, number) if isinstance(given, list) else loc
            message = f"`{value}` is no regular expression: {error}"
            document.faults.append(document.fault(at, message))


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
        """Every fault, in the order of the files and of the lines in each."""
        return [
            fault
            for document in self.documents
            for fault in sorted(
                document.faults, key=lambda fault: (fault.line or 0, fault.column or 0)
            )
        ]

    def add(self, path: Path, folder: str = "") -> None:
        """Read one pack; `folder` is the built-in folder it lies in, "" for a user's own."""
        document = yaml_source.read(path)
        self.documents.append(document)
        if document.broken:
            return
        pack = validated(document, models.Pack)
        name = pack.pack if pack else self._name_of(document)
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
            document.faults.append(
                document.fault(at, "a built-in pack changes no other pack", key=True)
            )
        for index, change in items(document, "change", models.Change):
            at = ("change", index)
            self.wanted.append((document, (*at, "rule"), change.rule))
            self.changes.append({"rule": change.rule, **changed(document, at, change)})
        for index, switched in enumerate(_list(document, "off")):
            if isinstance(switched, str):
                self.wanted.append((document, ("off", index), switched))
                self.changes.append({"rule": switched, "severity": "off"})

    def _name_of(self, document: Document) -> str:
        found = document.data.get("pack") if isinstance(document.data, dict) else None
        return found if isinstance(found, str) else ""

    def _check_name(self, document: Document, name: str, folder: str) -> None:
        if folder and name and name != folder:
            document.faults.append(
                document.fault(("pack",), f"pack `{name}` lies in `{folder}`", f"`{folder}`")
            )
        if not folder and name in PACK_FOLDERS:
            message = f"`{name}` is the name of a built-in pack"
            document.faults.append(document.fault(("pack",), message, "a name of your own"))

    def _add_rule(
        self, document: Document, at: Loc, pack: str, rule: models.Rule, folder: str, path: Path
    ) -> None:
        if rule.id in self.origin:
            before, place, _ = self.origin[rule.id]
            line = (before.place(place) or (0, 0))[0]
            message = f"rule `{rule.id}` is there already ({before.path}:{line})"
            document.faults.append(document.fault((*at, "id"), message, "an id of its own"))
            return
        extra = rule.for_.model_extra or {}
        for key in sorted(extra.keys() & rule.with_.keys()):
            message = f"parameter `{key}` stands in `for` and in `with`"
            document.faults.append(document.fault((*at, "with", key), message, key=True))
        expression_faults(document, (*at, "with"), rule.with_)
        expression_faults(document, (*at, "for"), extra)
        if not rule.source.document and not rule.source.practice:
            document.faults.append(
                document.fault(
                    (*at, "source"), "the source names nothing", "a document, or `practice: true`"
                )
            )
        self.origin[rule.id] = (document, at, bool(folder))
        line = (document.place(at) or (0, 0))[0]
        self.rules[rule.id] = _compiled(document, at, pack, rule) | {
            "path": str(path),
            "line": line,
        }
        if folder in models.market_ids() and not rule.for_.market:
            self.rules[rule.id]["applies"]["markets"] = [folder]

    def check_use(self) -> None:
        """A user's rule must use a check as the built-in rules do: with parameters that they
        give it, all that each of them gives, and texts for cases that they know."""
        built_in: dict[str, list[dict[str, Any]]] = {}
        for name, (_, _, is_built_in) in self.origin.items():
            if is_built_in:
                rule = self.rules[name]
                built_in.setdefault(rule["check"], []).append(rule)
        for name, (document, at, is_built_in) in self.origin.items():
            rule = self.rules[name]
            uses = built_in.get(rule["check"])
            if is_built_in or not uses:
                continue
            of = f"check `{rule['check']}`"
            known = kinds(one["with"] for one in uses)
            loc = (*at, "with")
            parameter_faults(document, loc, rule["with"], known, of)
            for key in sorted(set.intersection(*(set(one["with"]) for one in uses))):
                if key not in rule["with"]:
                    expected = " or ".join(sorted(known[key]))
                    message = f"parameter `{key}` of {of} is missing"
                    document.faults.append(document.fault(loc, message, expected))
            cases = sorted({context for one in uses for context in one["says"]})
            for context in rule["says"]:
                if context and context not in cases:
                    place = (*at, "says", context)
                    message = f"unknown case `{context}` of {of}"
                    fault = document.fault(place, message, suggestion(context, cases), key=True)
                    document.faults.append(fault)

    def check_changes(self) -> None:
        """Changes and switches must name rules and parameters that are there."""
        for (document, loc, name), change in zip(self.wanted, self.changes, strict=True):
            if name in self.refused and name not in self.rules:
                continue
            if name not in self.rules:
                document.faults.append(unknown(document, loc, "rule", name, self.rules))
                continue
            known = kinds([self.rules[name]["with"]])
            at = (*loc[:-1], "with")
            parameter_faults(document, at, change.get("with", {}), known, f"rule `{name}`")
            cases = self.rules[name]["says"]
            for context in change.get("says", {}):
                if context not in cases:
                    document.faults.append(
                        unknown(document, (*loc[:-1], "says", context), "case", context, cases)
                    )


def _list(document: Document, key: str) -> list[Any]:
    found = document.data.get(key) if isinstance(document.data, dict) else None
    return found if isinstance(found, list) else []


def kinds(uses: Iterable[Mapping[str, Any]]) -> dict[str, set[str]]:
    """The parameters that are used, with the sorts of value that each was given."""
    found: dict[str, set[str]] = {}
    for parameters in uses:
        for name, value in parameters.items():
            found.setdefault(name, set()).add(kind_of(value))
    return found


def changed(
    document: Document, at: Loc, change: models.Change | models.RuleSettings
) -> dict[str, Any]:
    """A change as `packs.change_of` reads it."""
    data: dict[str, Any] = {}
    if change.severity is not None:
        data["severity"] = _severity(document, (*at, "severity"), change.severity)
    if change.with_:
        data["with"] = change.with_
    if isinstance(change, models.Change) and change.says:
        data["says"] = {context: text.strip() for context, text in change.says.items()}
    return data


def _severity(document: Document, at: Loc, severity: models.BySeverity) -> Any:
    """A plain word stays one: it means "for every certainty that is on"."""
    if not any((*at, certainty) in document.keys for certainty in models.CERTAINTIES):
        return severity.proven or {}
    return severity.model_dump(exclude_none=True)


def _compiled(document: Document, at: Loc, pack: str, rule: models.Rule) -> dict[str, Any]:
    source = rule.source.model_dump()
    return {
        "id": rule.id,
        "title": rule.title.strip(),
        "check": rule.check,
        "severity": _severity(document, (*at, "severity"), rule.severity),
        "applies": {name: getattr(rule.for_, key) for key, name in APPLIES.items()},
        "with": {**(rule.for_.model_extra or {}), **rule.with_},
        "says": {context: one_line(text) for context, text in rule.says.items()},
        "because": one_line(rule.because),
        "source": source | {"edition": str(source["edition"])},
        "examples": rule.examples.model_dump(),
        "pack": pack,
    }
