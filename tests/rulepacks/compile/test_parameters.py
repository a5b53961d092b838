"""What checks declare, and packs that depart from it: one declaration serves all of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from panellint.core.errors import Fault
from panellint.rulepacks import packs, registry
from panellint.rulepacks.compile import models, parameters, yaml_source
from panellint.rulepacks.parameters import REQUIRED, Declaration, Parameter, Type

Make = Callable[..., str]
Write = Callable[..., Path]
Find = Callable[..., list[Fault]]

KEBAB = re.compile(models.KEBAB)
DECLARATIONS: dict[str, Declaration] = {
    name: found for name in registry.ours() if (found := registry.declaration(name)) is not None
}


def all_of(declared: tuple[Parameter, ...]) -> Iterator[Parameter]:
    for one in declared:
        yield one
        yield from all_of(one.fields)


def test_every_check_of_ours_declares_what_it_takes() -> None:
    assert DECLARATIONS.keys() == registry.ours().keys()


def test_every_parameter_that_a_check_reads_is_declared() -> None:
    read = re.compile(r"(?:with_|parameters)\.\w+\(\"([a-z-]+)\"")
    modules: dict[str, set[str]] = {}
    for check, stated in registry.ours().items():
        names = {one.name for one in all_of(DECLARATIONS[check].parameters)}
        modules.setdefault(stated["run"].rpartition(".")[0], set()).update(names)
    for module, names in modules.items():
        source = Path(import_module(f"panellint.{module}").__file__ or "").read_text(
            encoding="utf-8"
        )
        assert set(read.findall(source)) <= names, module


@pytest.mark.parametrize("check", DECLARATIONS)
def test_a_declaration_can_be_read_and_its_defaults_are_of_its_types(check: str) -> None:
    declaration = DECLARATIONS[check]
    for one in all_of(declaration.parameters):
        assert KEBAB.fullmatch(one.name)
        assert one.meaning.endswith(".")
        assert bool(one.unit) == (one.type in (Type.NUMBER, Type.COUNT, Type.COUNTS)), one
    document = yaml_source.Document("declared")
    given = {one.name: one.default for one in declaration.parameters}
    given = {name: value for name, value in given.items() if value not in (REQUIRED, None)}
    assert parameters.typed(document, (), check, given, whole=False) is not None
    assert document.faults == []


def test_a_misspelt_parameter_is_refused_with_the_right_name(
    rule: Make, pack: Write, faults: Find
) -> None:
    text, places = "pack: brand\nrules:\n", {}
    for check, declaration in DECLARATIONS.items():
        for place, one in enumerate(declaration.parameters):
            wrong = one.name[:-1] + "q"
            misspelt = {"check": f"check: {check}", "with": f"with: {{{wrong}: 1}}"}
            text += rule(f"{check}-{place}", **misspelt)
            line = text[: text.rindex(f"{{{wrong}")].count("\n") + 1
            places[line, 12] = (f"unknown key `{wrong}` in `rules[{len(places) + 1}].with`", one)
    assert len(places) > 200
    found = {(fault.line, fault.column): fault for fault in faults(pack(text))}
    for at, (message, one) in places.items():
        assert message in found[at].message
        assert found[at].expected == f"`{one.name}`" or len(one.name) < 4


def test_an_old_spelling_with_low_lines_is_refused_with_the_new_one(
    rule: Make, pack: Write, faults: Find
) -> None:
    text = rule(check="check: named-share", **{"with": "with: {each_at_least: 3}"})
    found = faults(pack(f"pack: brand\nrules:\n{text}"))
    expected = [one.expected for one in found if "each_at_least" in one.message]
    assert expected == ["`each-at-least`"]


def test_a_misspelt_parameter_of_a_built_in_pack_is_refused(pack: Write, faults: Find) -> None:
    names = next(path for path in packs.pack_files() if path.match("us/names.yaml"))
    text = names.read_text(encoding="utf-8").replace("pack: us", "pack: brand", 1)
    text = text.replace("id: ", "id: own-").replace("perhaps-water:", "perhaps-watr:", 1)
    line = next(n for n, one in enumerate(text.splitlines(), 1) if "perhaps-watr:" in one)
    assert [(one.line, one.expected) for one in faults(pack(text))] == [(line, "`perhaps-water`")]


@pytest.mark.parametrize(
    ("check", "given", "place", "message", "expected"),
    [
        ("named-share", "{each-at-least: x}", ("each-at-least",), "is `x`", Type.NUMBER),
        ("split-family", "{within: 2.5}", ("within",), "is `2.5`", Type.COUNT),
        ("list-words", "{whole: 1}", ("whole",), "is `1`", Type.FLAG),
        ("list-words", "{words: [3]}", ("words", 0), "`words[1]` is `3`", Type.WORDS),
        ("list-words", "{words: {regx: x}}", ("words", "regx"), "unknown key", "`regex`"),
        ("list-words", "{words: [complete (and]}", ("words", 0), "not closed", ""),
        ("barred-ingredient", "{which: {kid: gum}}", ("which", "kid"), "unknown key", "`kind`"),
        ("barred-ingredient", "{which: [gum]}", ("which", 0), "is `gum`", Type.INGREDIENTS),
        ("barred-ingredient", "{which: {id: 3}}", ("which", "id"), "is `3`", Type.TEXT),
        (
            "barred-ingredient",
            "{which: {not: {regex: '('}}}",
            ("which", "not", "regex"),
            "no regular expression",
            "",
        ),
        ("hazard", "{level: warnin}", ("level",), "unknown value", "`warning`"),
        (
            "calorie-from-guarantees",
            "{percent: {dri: 3}}",
            ("percent", "dri"),
            "unknown value",
            "`dry`",
        ),
        ("claim-fat-limit", "{at-most: {dry: x}}", ("at-most", "dry"), "is `x`", Type.NUMBER),
        (
            "hazard",
            "{only-among-first: [{which: {id: kelp}}]}",
            ("only-among-first", 0),
            "key `first` is missing in `only-among-first[1]`",
            "",
        ),
    ],
)  # fmt: skip
def test_a_value_of_another_type_is_refused_at_its_place(
    tmp_path: Path, check: str, given: str, place: tuple[Any, ...], message: str, expected: str
) -> None:
    path = tmp_path / "given.yaml"
    path.write_text(given, encoding="utf-8")
    document = yaml_source.read(path)
    assert parameters.typed(document, (), check, document.data, whole=False) is None
    found = [(one.line, one.column, one.expected) for one in document.faults]
    key = "unknown key" in message or place[-1] == "dri"
    assert found == [(*(document.place(place, key=key) or ()), expected)]
    assert message in document.faults[0].message


def test_the_schema_refuses_what_the_declaration_refuses(rule: Make, pack: Write) -> None:
    validator = jsonschema.Draft202012Validator(parameters.pack_schema())

    def of(check: str, given: str) -> object:
        text = rule(check=f"check: {check}", **{"with": f"with: {given}"})
        return yaml_source.read(pack(f"pack: brand\nrules:\n{text}")).data

    good = "{words: [finest, {regex: x+, not-before: y}], whole: false, certainty: proven}"
    assert validator.is_valid(of("list-words", good))
    for given in ("{wrods: [finest]}", "{words: {regx: x}}", "{whole: 1}", "{certainty: sure}"):
        assert not validator.is_valid(of("list-words", given)), given
