"""Packs that are refused: every fault at once, each with its place and what was expected."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import Fault, InputError
from panellint.core.findings import Certainty, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks import packs
from panellint.rulepacks.compile import models, parameters, yaml_source
from panellint.rulepacks.compile.packs import compile_packs
from panellint.rulepacks.compile.settings import compile_settings
from panellint.rulepacks.parameters import Parameters
from panellint.rulepacks.settings import Settings

WAIVERS = next(path for path in packs.pack_files() if path.name == "waivers.yaml")
Make = Callable[..., str]
Write = Callable[..., Path]
Find = Callable[..., list[Fault]]


def test_a_good_pack_has_no_fault(rule: Make, pack: Write, faults: Find) -> None:
    assert faults(pack(f"pack: brand\nrules:\n{rule()}")) == []


@pytest.mark.parametrize(
    ("key", "line", "column", "message", "expected"),
    [
        ("check", "check: wavier", 12, "unknown check `wavier`", "`waiver`"),
        (
            "severity",
            "severity: {practice: warnin}",
            26,
            "`rules[1].severity.practice` is `warnin`",
            "error, warning, information, hint or off; did you mean `warning`?",
        ),
        ("severity", "severity: {practise: hint}", 16, "unknown key `practise`", "`practice`"),
        ("for", "for: {market: usa}", 19, "unknown market `usa`", "`us`"),
        ("for", "for: {species: [dog, cta]}", 26, "unknown species `cta`", "`cat`"),
        ("for", "for: {form: kible}", 17, "unknown form `kible`", "`kibble`"),
        ("for", "for: {fault: expired}", 12, "`fault` stands in `for` and in `with`", ""),
        ("with", "with: {falt: unused}", 12, "unknown key `falt`", "`fault`"),
        ("with", "with: {fault: 3}", 19, "`rules[1].with.fault` is `3`", "a text"),
        ("says", "says: 3", 11, "`rules[1].says` is `3`", "keys and values"),
        ("says", "says: {naer: x}", 12, "unknown variant `naer` of check `waiver`", "`near`"),
        ("because", "because: ''", 14, "`rules[1].because` is empty", "a text"),
        (
            "source",
            "source: {section: '7'}",
            13,
            "the source names nothing",
            "a document, or `practice: true`",
        ),
        ("source", "source: {sectoin: '7', practice: true}", 14, "`sectoin`", "`section`"),
        ("title", "tilte: A duck", 5, "unknown key `tilte`", "`title`"),
    ],
)
def test_a_faulty_rule_is_told_with_place_and_nearest_word(
    rule: Make,
    pack: Write,
    faults: Find,
    key: str,
    line: str,
    column: int,
    message: str,
    expected: str,
) -> None:
    text = f"pack: brand\nrules:\n{rule(**{key: line})}"
    at = "with:" if "in `with`" in message else line
    number = next(i for i, one in enumerate(text.splitlines(), 1) if at in one)
    found = [fault for fault in faults(pack(text)) if message in fault.message]
    assert [(one.line, one.column, one.expected) for one in found] == [(number, column, expected)]


def test_all_faults_of_all_packs_are_told_at_once(rule: Make, pack: Write, faults: Find) -> None:
    first = pack(
        f"pack: brand\nrules:\n{rule('a', check='check: wavier')}{rule('b', title='')}"
        f"{rule('c')}{rule('c')}off: [waiver-expird, a]\n",
        "first.yaml",
    )
    second = pack("pakc: two\n", "second.yaml")
    told = [(Path(one.path).name, one.message.split(" (")[0]) for one in faults(first, second)]
    assert told == [
        ("first.yaml", "unknown check `wavier`"),
        ("first.yaml", "key `title` is missing in `rules[2]`"),
        ("first.yaml", "rule `c` is there already"),
        ("first.yaml", "unknown rule `waiver-expird`"),
        ("second.yaml", "key `pack` is missing"),
        ("second.yaml", "unknown key `pakc`"),
    ]


def test_a_rule_of_a_users_own_must_give_what_its_check_needs(
    rule: Make, pack: Write, faults: Find
) -> None:
    found = faults(pack(f"pack: brand\nrules:\n{rule(**{'with': ''})}"))
    assert [one.message for one in found] == ["key `fault` is missing in `rules[1].with`"]


def test_a_built_in_id_or_pack_name_cannot_be_taken(rule: Make, pack: Write, faults: Find) -> None:
    found = faults(pack(f"pack: practice\nrules:\n{rule('waiver-unused')}"))
    assert [one.expected for one in found] == ["a name of your own", "an id of its own"]


def test_changes_and_switches_are_applied(own_cache: Path, rule: Make, pack: Write) -> None:
    path = pack(
        f"""pack: brand
rules:
{rule()}change:
  - {{rule: waiver-unused, severity: {{practice: error}}, says: "Off with it."}}
  - {{rule: waiver-unknown-rule, severity: hint, says: {{near: "Did you mean {{near}}?"}}}}
off: [waiver-expired]
"""
    )
    rules = packs.load([path])
    assert list(rules)[-1] == "duck-in-duck"
    assert rules["waiver-unused"].severity[Certainty.PRACTICE] is Severity.ERROR
    assert rules["waiver-unused"].says == {"": "Off with it."}
    unknown = rules["waiver-unknown-rule"]
    assert unknown.severity == {Certainty.PRACTICE: Severity.HINT}
    assert unknown.says["near"] == "Did you mean {near}?"
    assert unknown.says["far"].startswith("There is no rule")
    assert not rules["waiver-expired"].is_on
    assert packs.load()["waiver-expired"].is_on


def test_the_cached_form_gives_the_same_rules(own_cache: Path, rule: Make, pack: Write) -> None:
    path = pack(f"pack: brand\nrules:\n{rule()}")
    fresh = packs.load([path])
    packs.forget()
    again = packs.load([path])
    assert list(fresh) == list(again)
    assert [repr(one) for one in fresh.values()] == [repr(one) for one in again.values()]
    assert sorted(one.name for one in own_cache.rglob("*.json"))[0] == "data.json"


def test_a_changed_pack_is_compiled_again(own_cache: Path, rule: Make, pack: Write) -> None:
    packs.load([pack(f"pack: brand\nrules:\n{rule()}")])
    path = pack(f"pack: brand\nrules:\n{rule(title='title: Another and longer title')}")
    packs.forget()
    assert packs.load([path])["duck-in-duck"].title == "Another and longer title"


def test_a_pack_that_is_gone_is_an_input_error(own_cache: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.yaml.*cannot be read"):
        packs.load([tmp_path / "none.yaml"])


def test_the_schema_accepts_every_built_in_pack_and_refuses_a_faulty_one(
    rule: Make, pack: Write
) -> None:
    schema = parameters.pack_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    assert packs.pack_files()
    for path in packs.pack_files():
        validator.validate(yaml_source.read(path).data)
    faulty = yaml_source.read(pack(f"pack: brand\nrules:\n{rule(severity='severity: eror')}"))
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(faulty.data)


def test_a_rule_in_a_markets_folder_is_for_that_market() -> None:
    folders = {market: market for market in models.market_ids()}
    for rule in packs.load().values():
        if rule.pack in folders:
            assert folders[rule.pack] in rule.applies.market, rule.id


def test_parameters_blame_the_pack() -> None:
    parameters = Parameters({"a": "x", "n": 3, "t": True}, ("some-rule", "p.yaml", 7))
    assert parameters.number("n") == 3
    assert parameters.texts("a") == ("x",)
    for key, ask in (("b", parameters.text), ("a", parameters.number), ("t", parameters.number)):
        with pytest.raises(InputError, match=r"p\.yaml:7: rule `some-rule`: parameter"):
            ask(key)
    assert parameters.get("b", 5) == 5
    assert "b" not in parameters


def faults_of(compiled: Callable[[], object]) -> tuple[Fault, ...]:
    """The faults that compiling raises; any other exception passes through."""
    try:
        compiled()
    except InputError as error:
        return error.faults
    return ()


WORDS = st.sampled_from(
    ["pack", "rules", "change", "off", "id", "check", "waiver", "severity", "proven", "error",
     "for", "market", "us", "with", "fault", "unused", "says", "source", "practice", "examples",
     "passes", "fails", "text", "marks", "rule", "edition", "packs", "waiver-unused", ""]
)  # fmt: skip
SCALARS = st.one_of(WORDS, st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False))
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=5),
    max_leaves=25,
)
PACKS = st.dictionaries(WORDS, ANYTHING, max_size=5) | ANYTHING


@given(data=PACKS)
def test_whatever_a_file_holds_only_faults_are_raised(
    tmp_path_factory: pytest.TempPathFactory, data: object
) -> None:
    path = tmp_path_factory.getbasetemp() / "any-pack.yaml"
    path.write_text(json.dumps(data).replace("Infinity", "1e9"), encoding="utf-8")
    for compiled in (lambda: compile_packs((), [path]), lambda: compile_settings(path)):
        for fault in faults_of(compiled):
            assert fault.path.endswith("any-pack.yaml")
            assert fault.line


@given(cut=st.integers(min_value=0), put=st.text("{}[]:-'\"#&*!|>%@ \n\tx", max_size=3))
def test_a_pack_that_is_damaged_anywhere_raises_only_faults(
    tmp_path_factory: pytest.TempPathFactory, cut: int, put: str
) -> None:
    whole = WAIVERS.read_text(encoding="utf-8").replace("pack: practice", "pack: brand")
    cut %= len(whole)
    path = tmp_path_factory.getbasetemp() / "damaged.yaml"
    path.write_text(whole[:cut] + put + whole[cut + 1 :], encoding="utf-8")
    assert all(fault.message for fault in faults_of(lambda: compile_packs((), [path])))


def test_a_bad_expression_is_told_where_it_stands(rule: Make, pack: Write, faults: Find) -> None:
    text = rule(check="check: label-words", **{"with": "with: {words: [duck, {regex: '(goose'}]}"})
    found = [one for one in faults(pack(f"pack: brand\nrules:\n{text}")) if "goose" in one.message]
    assert len(found) == 1
    assert "no regular expression" in found[0].message
    assert (found[0].line, found[0].column) == (7, 34)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("[{regex: 'a(?=b)'}]", "no regular expression that a pack may use: invalid perl operator"),
        (r"[{regex: '(a)\1'}]", "no regular expression that a pack may use: invalid escape"),
        ("[{regex: ab, not-before: c}]", "`not-before` does not stand beside `regex`"),
    ],
)
def test_an_expression_of_ones_own_is_one_for_a_linear_search(
    rule: Make, pack: Write, faults: Find, words: str, message: str
) -> None:
    text = rule(check="check: label-words", **{"with": f"with: {{words: {words}}}"})
    found = [one for one in faults(pack(f"pack: brand\nrules:\n{text}")) if message in one.message]
    assert [one.line for one in found] == [7]


def test_an_expression_of_ones_own_that_backtracks_ends(
    own_cache: Path, rule: Make, pack: Write
) -> None:
    given = "with: {words: [{regex: '(a+)+b'}]}"
    text = rule(check="check: label-words", **{"with": given})
    own = Settings(packs=(pack(f"pack: brand\nrules:\n{text}"),))
    for label, rules in (("a" * 5000, []), ("a" * 5000 + "b", ["duck-in-duck"])):
        source = Source(f"Ingredients: duck.\n\nClaims: {label}\n", "a.panel")
        findings = lint(source, own, quick=True).findings
        assert [one.rule for one in findings if one.rule == "duck-in-duck"] == rules
