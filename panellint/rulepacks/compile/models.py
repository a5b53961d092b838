"""What a pack and a settings file may hold: the types that validate, and their JSON Schemas."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Annotated, Any, Literal, get_args

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from panellint.rulepacks import registry
from panellint.rulepacks.data import data

KEBAB = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"

SeverityWord = Literal["error", "warning", "information", "hint", "off"]
SEVERITIES = get_args(SeverityWord)
CertaintyWord = Literal["proven", "possible", "practice"]
CERTAINTIES = get_args(CertaintyWord)
Kebab = Annotated[str, Field(pattern=KEBAB)]
Text = Annotated[str, Field(min_length=1, pattern=r"\S")]


def _as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


def as_cases(value: object) -> object:
    """Returns one text as that of the case without a name."""
    return {"": value} if isinstance(value, str) else value


_TextOrCases = str | Annotated[dict[str, str], Field(min_length=1)]
_SEVERITY = {
    "anyOf": [
        {"enum": list(SEVERITIES)},
        {
            "type": "object",
            "properties": {word: {"enum": list(SEVERITIES)} for word in CERTAINTIES},
            "additionalProperties": False,
        },
    ]
}


def one_of(what: str, known: Callable[[], Iterable[str]]) -> AfterValidator:
    """Refuses a word that is not known; `faults` then names the nearest."""

    def check(word: str) -> str:
        words = list(known())
        if word in words:
            return word
        raise PydanticCustomError("unknown_word", "unknown {what}", {"what": what, "words": words})

    return AfterValidator(check)


def market_ids() -> list[str]:
    """Returns the markets that rules can be about."""
    return [market["id"] for market in data("markets")["markets"]]


def editions(market: str = "") -> list[str]:
    """Returns the editions of one market's text, or of all."""
    known = data("markets")["markets"]
    return [edition for each in known if market in ("", each["id"]) for edition in each["editions"]]


def species() -> list[str]:
    """Returns the animals that a food can be for."""
    return list(data("markets")["species"])


def forms() -> list[str]:
    """Returns the forms of a food, and the classes of moisture that stand for several."""
    known = data("data/forms")
    return [row["id"] for row in (*known["forms"], *known["classes"])]


def stages() -> list[str]:
    """Returns the life stages that a food can be for, as statements print them."""
    return [stage["stage"] for stage in data("words/statements")["stages"]]


def uses() -> list[str]:
    """Returns what a food can be sold for beside being eaten."""
    return [use["use"] for use in data("words/uses")["uses"]]


_LISTED = BeforeValidator(_as_list, json_schema_input_type=str | list[str])
Market = Annotated[Text, one_of("market", market_ids)]
Words = Annotated[list[Text], _LISTED]
Markets = Annotated[list[Market], _LISTED]
Editions = Annotated[list[Annotated[Text, one_of("edition", editions)]], _LISTED]
Species = Annotated[list[Annotated[Text, one_of("species", species)]], _LISTED]
Forms = Annotated[list[Annotated[Text, one_of("form", forms)]], _LISTED]
Stages = Annotated[list[Annotated[Text, one_of("stage", stages)]], _LISTED]
Uses = Annotated[list[Annotated[Text, one_of("use", uses)]], _LISTED]
Check = Annotated[
    Text, one_of("check", registry.names), Field(description="The check that does the work.")
]
Says = Annotated[
    dict[str, Text],
    Field(min_length=1),
    BeforeValidator(as_cases, json_schema_input_type=_TextOrCases),
]


class Model(BaseModel):
    """Strict: no key of another name, no text for a number."""

    model_config = ConfigDict(extra="forbid", strict=True, populate_by_name=True)


class BySeverity(Model):
    """Severity by certainty; one that is not given is off."""

    proven: SeverityWord | None = None
    possible: SeverityWord | None = None
    practice: SeverityWord | None = None


def _severity(value: object) -> object:
    return dict.fromkeys(CERTAINTIES, value) if isinstance(value, str) else value


Severity = Annotated[BySeverity, BeforeValidator(_severity), WithJsonSchema(_SEVERITY)]


class Kinds(Model):
    """Kinds of labels; what is not given is all of them."""

    edition: Editions = []
    species: Species = []
    form: Forms = []
    stage: Stages = []
    use: Uses = []


class For(Kinds):
    """Where a rule applies; every other key is a parameter of the check."""

    model_config = ConfigDict(extra="allow")

    market: Markets = []


class Source(Model):
    """The document behind a rule, or `practice: true`."""

    document: Annotated[str, Field(description="The law, guide or paper.")] = ""
    section: str = ""
    edition: Annotated[str | int | float, Field(description="Date or number of its text.")] = ""
    seen: Annotated[bool, Field(description="Its text was read first-hand.")] = False
    confirmed: Annotated[bool, Field(description="The text in force was read.")] = True
    practice: Annotated[bool, Field(description="A rule of the trade.")] = False
    note: str = ""
    since: Annotated[str | int, Field(description="In force from this date.")] = ""
    until: Annotated[str | int, Field(description="In force to this date; repealed then.")] = ""


class Failing(Model):
    """Panel text with which the rule must find fault."""

    text: Text
    marks: Words
    says: str = ""
    certainty: Literal["", CertaintyWord] = ""


class Examples(Model):
    """At least one text that passes and one that fails."""

    passes: Annotated[list[Text], Field(min_length=1)]
    fails: Annotated[list[Failing], Field(min_length=1)]


class Rule(Model):
    """One thing that is checked."""

    id: Annotated[Kebab, Field(description="Plain words, joined by hyphens.")]
    title: Text
    check: Check
    severity: Severity
    for_: Annotated[For, Field(alias="for")] = For()
    with_: Annotated[dict[str, Any], Field(alias="with", description="Parameters.")] = {}
    yields_to: Annotated[
        list[Kebab],
        Field(alias="yields-to", description="Rules whose finding on the same words is enough."),
    ] = []
    says: Annotated[Says, Field(description="The finding's words; {field}s are filled in.")]
    because: Text
    source: Source
    examples: Examples


class Due(Kinds):
    """Of which labels something is asked."""

    except_use: Annotated[Uses, Field(alias="except-use")] = []
    routes: Annotated[Words, Field(description="Only beside such a statement.")] = []


class Requirement(Model):
    """One thing that a market asks of a label."""

    id: Kebab
    what: Text
    rules: Annotated[list[Kebab], Field(description="The rules that settle it.")] = []
    shows: Annotated[list[Text], Field(description="Sections any of which is it.")] = []
    otherwise: Annotated[
        Literal["", "met", "not-due", "not-visible", "open"],
        Field(description="Where its rules see nothing."),
    ] = ""
    within: Annotated[
        Literal["label", "declaration", "guarantees", "additives"],
        Field(description="What must be there."),
    ] = "label"
    visible: Annotated[bool, Field(description="Plain text can show it.")] = True
    settles: str = ""
    change: Annotated[str, Field(description="What to do where it is not met.")] = ""
    for_: Annotated[Due, Field(alias="for")] = Due()
    source: Source | None = None


class RequirementPart(Model):
    """A part of a market's sheet."""

    part: Text
    requirements: list[Requirement]


class Requirements(Model):
    """What a market asks of a label, part by part."""

    as_in: Annotated[Market | None, Field(alias="as-in")] = None
    parts: list[RequirementPart]


class StateClause(Source):
    """A state's own text for requirements, and what it asks otherwise than the sheet says."""

    of: Annotated[list[Kebab], Field(min_length=1)]
    differs: str = ""


class StateText(Model):
    """What a state has enacted, as far as its text was read."""

    id: Kebab
    code: Text
    title: Text
    edition: Annotated[Text, one_of("edition", editions)]
    adopted: Text
    unknown: Text
    clauses: list[StateClause]


class States(Model):
    """The states of a market."""

    states: list[StateText]


class Change(Model):
    """What to change of a rule that is there already."""

    rule: Kebab
    severity: Severity | None = None
    with_: Annotated[dict[str, Any], Field(alias="with")] = {}
    says: Says | None = None


class Defaults(Model):
    """What each rule of a pack has that gives nothing of its own."""

    severity: Severity | None = None
    for_: Annotated[For | None, Field(alias="for")] = None
    with_: Annotated[dict[str, Any], Field(alias="with")] = {}
    source: Source | None = None


class Pack(Model):
    """A file of rules. A user's own pack may also change rules and switch them off."""

    pack: Kebab
    defaults: Annotated[Defaults, Field(description="What its rules have alike.")] = Defaults()
    rules: list[Rule] = []
    change: list[Change] = []
    off: list[Kebab] = []


class RuleSettings(Model):
    """What a settings file changes of one rule."""

    severity: Severity | None = None
    with_: Annotated[dict[str, Any], Field(alias="with")] = {}


def _off(value: object) -> object:
    return {"severity": "off"} if value == "off" or value is False else value


OneRule = Annotated[
    RuleSettings, BeforeValidator(_off, json_schema_input_type=Literal["off"] | RuleSettings)
]
Edition = Annotated[dict[str, Text], BeforeValidator(as_cases, json_schema_input_type=_TextOrCases)]


class Settings(Model):
    """`panellint.yaml`: how the labels in its folder and below are linted."""

    market: Annotated[Market | None, Field(description="Where the label is sold.")] = None
    edition: Annotated[Edition, Field(description="The edition of a market's text.")] = {}
    language: Annotated[Text | None, Field(description="The language of the labels.")] = None
    packs: Annotated[list[Text], Field(description="Own packs, relative to this file.")] = []
    ingredients: Annotated[
        list[Text], Field(description="Files of own ingredients, relative to this file.")
    ] = []
    rules: Annotated[dict[str, OneRule], Field(description="Rule id to its settings.")] = {}
    fail_at: Annotated[
        Literal["error", "warning", "information", "hint", "never"],
        Field(alias="fail-at", description="The least severity that makes a run fail."),
    ] = "warning"
    ignore: Annotated[list[Text], Field(description="Globs of files to leave out.")] = []
    locked: Annotated[
        list[Text],
        Field(description="Rules that no label waives and no settings file below changes."),
    ] = []
    longest_waiver: Annotated[
        int | None,
        Field(alias="longest-waiver", gt=0, description="Days that a waiver may hold for."),
    ] = None
    baseline: Annotated[
        Text | None, Field(description="The file of known findings, relative to this one.")
    ] = None
    source: Annotated[
        Text | None, Field(description="What the texts were read off, as “Source:” says it.")
    ] = None
    rule_pages: Annotated[
        str,
        Field(
            alias="rule-pages",
            pattern=r"^https?://\S+$|^file:///\S+$",
            description="Where the pages stand that `panellint pages` wrote.",
        ),
    ] = ""
    largest_file: Annotated[
        int | None,
        Field(alias="largest-file", gt=0, description="Bytes of the largest label that is read."),
    ] = None


def settings_schema(rules: Iterable[str]) -> dict[str, Any]:
    """Returns the JSON Schema of `panellint.yaml`; `rules` are the ids of the built-in rules, the
    only ones where no pack of the user's own is named."""
    schema = Settings.model_json_schema(by_alias=True)
    schema["properties"]["market"] = {
        "enum": market_ids(),
        "description": schema["properties"]["market"]["description"],
    }
    schema["if"] = {"properties": {"packs": {"maxItems": 0}}}
    schema["then"] = {"properties": {"rules": {"propertyNames": {"enum": list(rules)}}}}
    return published(schema, "panellint settings")


def published(schema: dict[str, Any], title: str) -> dict[str, Any]:
    """Returns a schema with its dialect, its id and a title."""
    name = title.removeprefix("panellint ").replace(" ", "-")
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:panellint:schema:{name}:1",
    }
    return {**head, **schema, "title": title}
