"""What `rule` answers."""

from __future__ import annotations

from typing import Any, TypedDict

#: One rule in the list of all of them. (`for` is no name that a class body may use.)
RuleRow = TypedDict(
    "RuleRow", {"rule": str, "severity": str, "for": str, "title": str, "pack": str}
)


class Scope(TypedDict):
    """Where a rule applies; an empty list stands for everywhere."""

    market: list[str]
    edition: list[str]
    species: list[str]
    form: list[str]
    stage: list[str]
    use: list[str]


class SourceData(TypedDict):
    """The document behind a rule."""

    text: str
    document: str
    section: str
    edition: str
    seen: bool
    practice: bool
    note: str


class FailingExample(TypedDict):
    """A text that the rule finds fault with, and the words that it marks."""

    text: str
    marks: list[str]


class ExamplesData(TypedDict):
    """Texts that pass and texts that fail."""

    passes: list[str]
    fails: list[FailingExample]


#: One rule with its reasons, its source and its examples; `applies` and `weight` are where it
#: applies and how severe it is in words, `place` is its file and line.
RuleData = TypedDict(
    "RuleData",
    {
        "rule": str,
        "title": str,
        "check": str,
        "severity": dict[str, str],
        "for": Scope,
        "with": dict[str, Any],
        "says": dict[str, str],
        "because": str,
        "source": SourceData,
        "examples": ExamplesData,
        "pack": str,
        "place": str,
        "applies": str,
        "weight": str,
    },
)


class TriedExample(TypedDict):
    """An example of a pack that was run; `problem` is "" where it is as it should be."""

    rule: str
    kind: str
    number: int
    problem: str


class ParameterData(TypedDict):
    """What a check takes; `fields` are those of each row, or the type of a table's values."""

    name: str
    type: str
    unit: str
    meaning: str
    required: bool
    default: Any
    values: list[str]
    fields: list[ParameterData]


class CheckData(TypedDict):
    """What a check looks at, needs beside a label, takes and says."""

    check: str
    title: str
    needs: str
    parameters: list[ParameterData]
    variants: list[str]
