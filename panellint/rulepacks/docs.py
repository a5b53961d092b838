"""What `panellint rule` tells: the list of the rules, and one rule with its reasons."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from panellint.core.errors import PanellintError
from panellint.core.phrases import listed, nearest, shown
from panellint.core.text import one_line
from panellint.rulepacks.model import Rule

if TYPE_CHECKING:
    from panellint.results.rules import RuleData, RuleRow

WIDTH = 80


class UnknownRule(PanellintError):
    """No rule has this id; the nearest one is named."""

    def __init__(self, name: str, names: Iterable[str]) -> None:
        self.name = name
        self.near = nearest(name, names)
        super().__init__(name)

    def __str__(self) -> str:
        tail = f"did you mean `{self.near}`?" if self.near else "`panellint rule` lists all"
        return f"there is no rule `{self.name}`; {tail}"


def rule_of(rules: Mapping[str, Rule], name: str) -> Rule:
    """The rule of that id. Raises UnknownRule, with the nearest id."""
    if name not in rules:
        raise UnknownRule(name, rules)
    return rules[name]


def listing(rules: Iterable[Rule]) -> list[RuleRow]:
    """Returns one row for each rule: `rule`, `severity`, `for`, `title`, `pack`, as plain text."""
    return [
        {
            "rule": rule.id,
            "severity": severity_words(rule),
            "for": where_words(rule),
            "title": rule.title,
            "pack": rule.pack,
        }
        for rule in rules
    ]


def list_text(rules: Iterable[Rule], width: int = WIDTH) -> str:
    """The rules by pack: id and severity on one line, the title below it."""
    lines: list[str] = []
    pack = None
    for rule in rules:
        if rule.pack != pack:
            lines += ["", f"{rule.pack}:"] if lines else [f"{rule.pack}:"]
            pack = rule.pack
        lines.append(f"  {rule.id}  ({severity_words(rule)})")
        lines += textwrap.wrap(rule.title, width, initial_indent="    ", subsequent_indent="    ")
    return "\n".join(lines) + "\n" if lines else ""


def rule_text(rule: Rule, width: int = WIDTH) -> str:
    """One rule in full: what it asks, why, on what ground, with its examples."""

    def wrapped(head: str, text: str) -> list[str]:
        return textwrap.wrap(
            text,
            width,
            initial_indent=f"{head:<12}",
            subsequent_indent=" " * 12,
            break_long_words=False,
            break_on_hyphens=False,
        )

    lines = [rule.id, *textwrap.wrap(rule.title, width), ""]
    lines += wrapped("Severity:", severity_words(rule))
    lines += wrapped("Applies to:", where_words(rule))
    for index, (name, value) in enumerate(rule.parameters.items()):
        lines += wrapped("With:" if index == 0 else "", f"{name}: {_parameter(value)}")
    for index, (context, words) in enumerate(rule.says.items()):
        lines += wrapped(
            "Says:" if index == 0 else "", f"({context}) {words}" if context else words
        )
    lines += wrapped("Because:", rule.because)
    lines += wrapped("Source:", str(rule.source))
    if rule.source.note:
        lines += wrapped("", rule.source.note)
    lines += wrapped("Pack:", f"{rule.pack} ({rule.path}:{rule.line})")
    for text in rule.examples.passes:
        lines += ["", "Passes:", *_quoted(text)]
    for failing in rule.examples.fails:
        marks = listed(f"`{one_line(mark)}`" for mark in failing.marks)
        lines += ["", *textwrap.wrap(f"Fails, marking {marks}:", width), *_quoted(failing.text)]
    return "\n".join(lines) + "\n"


def to_dict(rule: Rule) -> RuleData:
    """Returns one rule as plain data, for `--format json` and for other programs."""
    to = rule.applies
    source = rule.source
    return {
        "rule": rule.id,
        "title": rule.title,
        "check": rule.check,
        "severity": {
            certainty.value: severity.value if severity else "off"
            for certainty, severity in rule.severity.items()
        },
        "for": {
            "market": list(to.markets),
            "edition": list(to.editions),
            "species": list(to.species),
            "form": list(to.forms),
            "stage": list(to.stages),
            "use": list(to.uses),
        },
        "with": dict(rule.parameters),
        "says": dict(rule.says),
        "because": rule.because,
        "source": {
            "text": str(source),
            "document": source.document,
            "section": source.section,
            "edition": source.edition,
            "seen": source.seen,
            "practice": source.practice,
            "note": source.note,
        },
        "examples": {
            "passes": list(rule.examples.passes),
            "fails": [{"text": one.text, "marks": list(one.marks)} for one in rule.examples.fails],
        },
        "pack": rule.pack,
    }


def severity_words(rule: Rule) -> str:
    """Such as `error where proven, warning where possible`, or `off`."""
    on = {certainty: severity for certainty, severity in rule.severity.items() if severity}
    if not on:
        return "off"
    if len(on) == 3 and len(set(on.values())) == 1:
        return next(iter(on.values())).value
    ways = {"proven": "where proven", "possible": "where possible", "practice": "as practice"}
    return ", ".join(f"{severity} {ways[certainty]}" for certainty, severity in on.items())


def where_words(rule: Rule) -> str:
    """Such as `us, modernised; dog; canned`, or `every label`."""
    to = rule.applies
    groups = (to.markets, to.editions, to.species, to.forms, to.stages, to.uses)
    return "; ".join(listed(group, "or") for group in groups if group) or "every label"


def _parameter(value: object) -> str:
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_parameter(item)}" for key, item in value.items())
    if isinstance(value, list):
        return ", ".join(_parameter(item) for item in value)
    return shown(value)


def _quoted(text: str) -> list[str]:
    return [f"    {line}".rstrip() for line in text.rstrip().splitlines()]
