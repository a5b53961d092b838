"""From a case to a reading: everything that is told of one food, as plain data."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from panellint.analysis.nutrition_input import ranges_by_shares, statement_of
from panellint.analysis.overview import glance
from panellint.analysis.shares_report import shares
from panellint.core.findings import Finding, Severity
from panellint.lint.engine import lint_context
from panellint.nutrition.serialize import to_dict
from panellint.report.content import content
from panellint.report.figures import figures
from panellint.report.identity import facts, in_short
from panellint.report.judged import NOT_KEPT, promises, promises_note, said
from panellint.report.lead import NOT_CALLED_COMPLETE
from panellint.report.model import Reading
from panellint.report.saying import RATIOS, lettered
from panellint.report.supply import cat_needs, index_sources, nutrients, starches
from panellint.report.toward import toward
from panellint.rulepacks.data import data
from panellint.tasks.compare import Food, food_of

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.results.nutrition import Assessed

_RULES = "data/reading"
#: What a rule without a document has for a source.
_NO_DOCUMENT = "common practice"
_LANGUAGES = ("de", "en", "es", "fr", "it", "nl")


class Read(NamedTuple):
    """A reading, and the same food as one to compare with others."""

    reading: Reading
    food: Food


def read(context: LabelContext, today: date | None = None) -> Read:
    """The reading of a label, and its food. `today` is the day that waivers are judged on.

    Raises InputError where settings or packs are faulty.
    """
    statement = statement_of(context)
    told = to_dict(statement, ranges_by_shares(context, statement))
    proven = shares(context)
    glanced = glance(context)
    linted = lint_context(context, context.settings, today=today)
    left_out = data(_RULES)["left-out"]
    findings = [one for one in linted.findings if _check(context, one) not in left_out]
    apart = _apart(context, findings)
    name = context.label.product_name or _file(context)
    ways, ways_note = toward(context, statement, told)
    weights = Counter(one.severity for one in findings)
    hazards = said(context, apart["hazards"])
    others = [*apart["other"], *apart["doubtful"]]
    told_above = {one["rule"] for one in proven["promises"] if one["verdict"] == "refuted"}
    serious = said(
        context,
        (one for one in others if one.severity is Severity.ERROR and one.rule not in told_above),
    )
    judged = tuple(promises(context, proven["promises"]))
    broken = [one.text for one in judged if one.verdict == NOT_KEPT]
    reading = Reading(
        name=name,
        file=_file(context),
        language=context.language if context.language in _LANGUAGES else "",
        species=context.species,
        short=tuple(in_short(context, statement, hazards, serious, broken, weights)),
        facts=tuple(facts(context, statement)),
        promises=judged,
        promises_note=promises_note(
            context,
            {one["id"] for one in proven["promises"]},
            proven["consistent"],
            findings,
        ),
        content=content(context, proven),
        figures=figures(told, _names(context)),
        starches=tuple(starches(context)),
        nutrients=nutrients(glanced["nutrients"]),
        cat=cat_needs(glanced["cat"]),
        nutrients_note="" if statement.facts.complete else NOT_CALLED_COMPLETE,
        hazards=hazards,
        doubtful=said(context, apart["doubtful"]),
        toward=ways,
        toward_note=ways_note,
        findings=said(context, apart["other"]),
        waived=said(context, linted.waived),
        sources=tuple(_sources(context, told, findings, [one.source for one in judged])),
    )
    return Read(reading, replace(food_of(context), name=name, path=_file(context)))


def _file(context: LabelContext) -> str:
    """The name of the file alone: a reading is handed on, and folders are nobody's business."""
    return "standard input" if context.source.path == "-" else os.path.basename(context.source.path)


def _names(context: LabelContext) -> dict[str, str]:
    """Nutrients' English names by id, a vitamin's letter as a capital."""
    rows = data("nutrients/nutrients")["nutrients"]
    return {row["id"]: lettered(row["names"]["en"][0]) for row in rows} | RATIOS


def _check(context: LabelContext, finding: Finding) -> str:
    """The check behind a finding."""
    rule = context.settings.rules.get(finding.rule)
    return rule.check if rule else ""


def _apart(context: LabelContext, findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """Findings about hazards, about words, and the others."""
    words = data(_RULES)
    found: dict[str, list[Finding]] = {"hazards": [], "doubtful": [], "other": []}
    for finding in findings:
        check = _check(context, finding)
        key = next((key for key in ("hazards", "doubtful") if check in words[key]), "other")
        found[key].append(finding)
    return found


def _sources(
    context: LabelContext, told: Assessed, findings: Iterable[Finding], more: Iterable[str]
) -> Iterator[str]:
    """Every document that the reading rests on, once, in the order of the alphabet."""
    found = {*more, *index_sources(context), *(one.source for one in findings)}
    if told["energy"]:
        found |= {one["source"] for one in told["energy"]["by_method"]}
    if told["profile"]:
        found |= {one["source"] for one in told["profile"]["judged"]}
    found |= {one["source"] for one in told["carbohydrate"]["research"]}
    yield from sorted(
        {one.strip().rstrip(".") for one in found if one and one != _NO_DOCUMENT}, key=str.casefold
    )
