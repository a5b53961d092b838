"""A settings file compiled: validated against the packs that it stands on."""

import os
from pathlib import Path
from typing import Any, TypeVar

from panellint.core.errors import Fault, InputError
from panellint.core.files import repository_of
from panellint.rulepacks import packs
from panellint.rulepacks.compile import models, yaml_source
from panellint.rulepacks.compile.errors import unknown, validated
from panellint.rulepacks.compile.packs import changed, declared
from panellint.rulepacks.compile.parameters import typed
from panellint.rulepacks.compile.yaml_source import Document
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

T = TypeVar("T", list[Any], dict[str, Any])


def compile_settings(path: Path) -> dict[str, Any]:
    """Returns one settings file as JSON data. Raises InputError with every fault of it, and with
    those of the packs that it names."""
    document = yaml_source.read(path)
    document.own = True
    if document.broken:
        raise InputError(*document.faults)
    settings = validated(document, models.Settings)
    own = _own_files(document, path.parent, "packs", "pack")
    ingredients = _own_files(document, path.parent, "ingredients", "file of ingredients")
    pack_faults: tuple[Fault, ...] = ()
    given: dict[str, dict[str, Any]] = {}
    try:
        given = _parameters(document, packs.load(own))
    except InputError as error:
        pack_faults = error.faults
    if settings is not None:
        _check_editions(document, settings)
    if document.faults or pack_faults or settings is None:
        raise InputError(*document.in_order(), *pack_faults)
    return {
        **settings.model_dump(exclude={"rules"}),
        "edition": _editions(settings),
        "packs": [str(entry) for entry in own],
        "ingredients": [str(entry) for entry in ingredients],
        "rules": {
            name: changed(document, ("rules", name), rule) | given.get(name, {})
            if isinstance(document.data["rules"][name], dict)
            else {"severity": "off"}
            for name, rule in settings.rules.items()
        },
        "baseline": str(path.parent / settings.baseline) if settings.baseline else "",
        "changed": {name: document.fault(("rules", name), "").line for name in settings.rules},
    }


def _given(document: Document, key: str, kind: type[T]) -> T:
    """Returns what the file gives for a key, or nothing where that is of another kind: a file that
    the models refuse is still looked through for what else is wrong."""
    value = document.data.get(key) if isinstance(document.data, dict) else None
    return value if isinstance(value, kind) else kind()


def _own_files(document: Document, folder: Path, key: str, what: str) -> list[Path]:
    own: list[Path] = []
    repository = repository_of(folder.absolute())
    for index, name in enumerate(_given(document, key, list)):
        if not isinstance(name, str):
            continue
        path = Path(os.path.normpath(folder / name))
        loc = (key, index)
        if not path.resolve().is_relative_to(repository):
            # Said before it is opened: a message about what stands in it would show it.
            message = f"{what} `{name}` lies outside {repository}"
            document.refuse(loc, message)
            continue
        if path in own:
            document.refuse(loc, f"{what} `{name}` is named twice")
        elif not os.path.isfile(path):
            others = {file.name for file in path.parent.glob("[!.]*.yaml")}
            near = sorted(others - {Path(document.path).name})
            unknown(document, loc, what, name, near)
        else:
            own.append(path)
    return own


def _parameters(document: Document, rules: dict[str, Rule]) -> dict[str, dict[str, Any]]:
    """Checks the rules that the file changes; returns what it gives of parameters, by rule."""
    changes: dict[str, dict[str, Any]] = {}
    for index, name in enumerate(_given(document, "locked", list)):
        if name not in rules:
            unknown(document, ("locked", index), "rule", str(name), rules)
    for name, change in _given(document, "rules", dict).items():
        loc = ("rules", name)
        if name not in rules:
            unknown(document, loc, "rule", name, rules, key=True)
            continue
        parameters = change.get("with") if isinstance(change, dict) else None
        if isinstance(parameters, dict):
            check = rules[name].check
            if declared(document, loc, check) is not None:
                given = typed(document, (*loc, "with"), check, parameters, whole=False)
                changes[name] = {"with": given}
    return changes


def _editions(settings: models.Settings) -> dict[str, str]:
    """Returns a plain edition is that of the file's own market, or of the usual one."""
    market = settings.market or data("markets")["usual"]
    return {name or market: edition for name, edition in settings.edition.items()}


def _check_editions(document: Document, settings: models.Settings) -> None:
    for (given, edition), market in zip(settings.edition.items(), _editions(settings), strict=True):
        loc = ("edition", given) if given else ("edition",)
        known = models.editions(market)
        if market not in models.market_ids():
            unknown(document, loc, "market", market, models.market_ids(), key=True)
        elif edition not in known:
            unknown(document, loc, f"edition of {market}", edition, known)
