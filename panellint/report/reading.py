"""From a label to its report: everything that is said of one food, as blocks."""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from panellint.analysis.assessed import assessed_of
from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import statement_of
from panellint.analysis.overview import glance
from panellint.analysis.shares_report import shares
from panellint.core.findings import Finding, Severity
from panellint.core.phrases import counted
from panellint.lint.engine import lint_context
from panellint.output.document import Heading, Items, Paragraph
from panellint.output.render_options import CAUTION
from panellint.report import promises, supply, toward
from panellint.report.blocks import Block, Point, Points
from panellint.report.content import Content
from panellint.report.findings import points
from panellint.report.owner import file_of
from panellint.report.saying import range_words
from panellint.report.writing import document
from panellint.results.foods import Plan
from panellint.results.nutrition import Assessed
from panellint.rulepacks.data import data

_RULES = "data/reading"
#: What a rule without a document has for a source.
_NO_DOCUMENT = "common practice"


def full(
    foods: Iterable[tuple[LabelContext, Plan | None]], today: date, day: str
) -> Iterator[Block]:
    """Yields the long reading of labels, each with a day's bowl of it where an animal is given;
    `today` is the day that waivers are judged on, `day` the same in words. Of several foods each is
    a section; the reasons of a rule stand once, and so does each source.

    Raises InputError where settings or packs are faulty.
    """
    sources: set[str] = set()
    reasons: set[str] = set()
    readings = [list(_reading(context, plan, today, day, sources)) for context, plan in foods]
    several = len(readings) > 1
    if several:
        yield Heading(1, counted(len(readings), "food"))
        yield Paragraph("What holds for all foods alike stands with the first one.")
    explained: set[Block] = set()
    for at, blocks in enumerate(readings, start=1):
        for block in blocks:
            if getattr(block, "kind", "") == "once":
                if block in explained:
                    continue
                explained.add(block)
            elif isinstance(block, Points):
                block = Points(tuple(_without_repeats(block.points, reasons)), block.none)
            elif isinstance(block, Heading) and several:
                block = Heading(block.level + 1, block.words, f"food-{at}")
            yield block
    yield Heading(2, "Sources", "sources")
    # In the order of the alphabet, each once.
    named = {source.strip().rstrip(".") for source in sources - {_NO_DOCUMENT, ""}}
    lines: list[str] = sorted(named, key=str.casefold)
    yield Items(tuple(lines), "sources")
    yield Paragraph(CAUTION, "caution")


def _without_repeats(points: Iterable[Point], reasons: set[str]) -> Iterator[Point]:
    for point in points:
        yield point._replace(because="") if point.because in reasons else point
        reasons.add(point.because)


def _reading(
    context: LabelContext, plan: Plan | None, today: date, day: str, sources: set[str]
) -> Iterator[Block]:
    """Yields all that is said of one food, and adds what it rests on to `sources`."""
    assessment = statement_of(context)
    assessed = assessed_of(context)
    proven = shares(context)
    linted = lint_context(context, context.settings, today=today)
    left_out = data(_RULES)["left-out"]
    findings = [finding for finding in linted.findings if _check(context, finding) not in left_out]
    hazards, doubtful, others = _apart(context, findings)
    judged = promises.promised(context, proven)
    refuted = {promise["rule"] for promise in proven["promises"] if promise["verdict"] == "refuted"}
    heavy = (finding for finding in (*others, *doubtful) if finding.severity is Severity.ERROR)
    serious = points(context, (finding for finding in heavy if finding.rule not in refuted))
    harm = points(context, hazards)
    counts = Counter(finding.severity for finding in findings)
    severities = data("words/reading")["severities"]
    file = file_of(context)
    yield from document(
        "reading",
        assessed=assessed,
        assessment=assessment,
        content=Content(context, proven),
        consistent=proven["consistent"],
        context=context,
        counts=[f"{counts[rank]} {severities[rank.value]}" for rank in Severity if counts[rank]],
        day=day,
        details=promises.details,
        doubtful=points(context, doubtful),
        file=file,
        glance=glance(context),
        harm=harm,
        high_from=supply.high_from(context),
        name=context.label.product_name or file,
        others=points(context, others),
        plan=plan,
        promises=judged,
        range_words=range_words,
        serious=serious,
        starches=list(supply.starches(context)),
        targets=toward.targets(context, assessment, assessed),
        unjudged=list(promises.unjudged(context, proven, findings)),
        waived=points(context, linted.waived),
    )
    sources.update(promised.source for promised in judged)
    sources.update(_sources(context, assessed, findings))


def _check(context: LabelContext, finding: Finding) -> str:
    """Returns the check behind a finding."""
    rule = context.settings.rules.get(finding.rule)
    return rule.check if rule else ""


def _apart(
    context: LabelContext, findings: Iterable[Finding]
) -> tuple[list[Finding], list[Finding], list[Finding]]:
    """Returns findings about hazards, about words, and the others."""
    words = data(_RULES)
    apart: dict[str, list[Finding]] = {"hazards": [], "doubtful": [], "": []}
    for finding in findings:
        check = _check(context, finding)
        key = next((key for key in ("hazards", "doubtful") if check in words[key]), "")
        apart[key].append(finding)
    return apart["hazards"], apart["doubtful"], apart[""]


def _sources(
    context: LabelContext, assessed: Assessed, findings: Iterable[Finding]
) -> Iterator[str]:
    """Yields every document that findings and figures of a food rest on."""
    yield from supply.index_sources(context)
    yield from (finding.source for finding in findings)
    if assessed["energy"]:
        yield from (method["source"] for method in assessed["energy"]["by_method"])
    if assessed["profile"]:
        yield from (judgement["source"] for judgement in assessed["profile"]["judged"])
    yield from (study["source"] for study in assessed["carbohydrate"]["research"])
