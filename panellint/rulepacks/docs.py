"""The rules and the checks as plain data: a row for each rule, one with its reasons, and what each
check looks at and takes."""

import inspect
from collections.abc import Iterable, Mapping

from panellint.core.errors import UnknownName
from panellint.core.phrases import listed, nearest
from panellint.core.records import to_data
from panellint.core.text import one_line
from panellint.results.rules import CheckData, ParameterData, RuleData, RuleRow, SourceData
from panellint.rulepacks import registry
from panellint.rulepacks.model import Rule
from panellint.rulepacks.parameters import REQUIRED, Parameter


def unknown_rule(name: str, rules: Iterable[str]) -> UnknownName:
    """Returns that no rule has this id; the nearest one is named."""
    return UnknownName("rule", name, nearest(name, rules), "`panellint rule` lists all")


def rule_of(rules: Mapping[str, Rule], name: str) -> Rule:
    """Returns the rule of that id. Raises UnknownName, with the nearest id."""
    if name not in rules:
        raise unknown_rule(name, rules)
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


def to_dict(rule: Rule) -> RuleData:
    """Returns one rule as plain data, for `--format json` and for other programs."""
    return to_data(
        RuleData,
        rule,
        rule=rule.id,
        severity={key: severity or "off" for key, severity in rule.severity.items()},
        source=to_data(SourceData, rule.source, text=rule.source),
        place=f"{rule.path}:{rule.line}",
        applies=where_words(rule),
        weight=severity_words(rule),
        **{"for": rule.applies, "with": rule.parameters},
    )


def severity_words(rule: Rule) -> str:
    """Returns text such as `error where proven, warning where possible`, or `off`."""
    on = {certainty: severity for certainty, severity in rule.severity.items() if severity}
    if not on:
        return "off"
    if len(on) == 3 and len(set(on.values())) == 1:
        return next(iter(on.values())).value
    ways = {"proven": "where proven", "possible": "where possible", "practice": "as practice"}
    return ", ".join(f"{severity} {ways[certainty]}" for certainty, severity in on.items())


def where_words(rule: Rule) -> str:
    """Returns text such as `us, modernised; dog; canned`, or `every label`."""
    return "; ".join(listed(group, "or") for group in rule.applies if group) or "every label"


def checks(name: str | None = None) -> list[CheckData]:
    """Returns every check of ours and of installed packages by name, or the one named. Raises
    UnknownName, with the nearest name."""
    return [_data(check) for check in ([name] if name else registry.names())]


def _data(name: str) -> CheckData:
    check = registry.find(name)
    declaration = registry.declaration(name)
    doc = inspect.getdoc(check.function) or ""
    return {
        "check": name,
        "title": one_line(doc.partition("\n\n")[0]),
        "needs": registry.needs(name),
        "parameters": [_parameter(parameter) for parameter in declaration.parameters]
        if declaration
        else [],
        "variants": list(declaration.variants) if declaration else [],
    }


def _parameter(parameter: Parameter) -> ParameterData:
    required = parameter.default is REQUIRED
    return to_data(
        ParameterData,
        parameter,
        required=required,
        default=None if required else parameter.default,
        fields=list(map(_parameter, parameter.fields)),
    )
