"""From a label to its report: everything that is said of one food, as blocks."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import assessed_of, helpful_questions, likely_parts
from panellint.analysis.nutrition_input import statement_of
from panellint.analysis.overview import glance
from panellint.analysis.shares_report import shares
from panellint.core.errors import NotComputable
from panellint.core.findings import Finding, Severity
from panellint.core.numbers import number
from panellint.core.phrases import counted, listed
from panellint.ingredients.model import Ingredient
from panellint.lint.checks.starch import class_of
from panellint.lint.engine import lint_context
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.targets import Target
from panellint.output.document import Heading, Items, Paragraph
from panellint.output.render_options import CAUTION
from panellint.report.blocks import Block, Point, Points, points
from panellint.report.content import Content
from panellint.report.foods import document, file_of, starch_answers
from panellint.results.foods import Blend, Plan
from panellint.results.nutrition import Assessed, CarbohydrateData
from panellint.results.shares import HelpfulQuestion, LikelyRange, Shares
from panellint.rulepacks.data import data
from panellint.tasks.blend import Portion, blend, portion_of, portion_of_known


def unjudged(
    context: LabelContext, shares: Shares, findings: Iterable[Finding]
) -> Iterator[tuple[str, list[str], bool]]:
    """Yields the words of each promise that is not judged, the names of it that the list does not
    declare, and whether a finding marks it."""
    marked = [
        span for finding in findings for span in (finding.span, *(r.span for r in finding.related))
    ]
    judged = {promise["id"] for promise in shares["promises"]}
    for promise in context.promises:
        if promise.id not in judged:
            names = [named.name for named in promise.named if not context.supported.get(named.span)]
            is_marked = any(promise.span.start <= at.start < promise.span.end for at in marked)
            yield promise.text, names, is_marked


_HIGH = "high-glycaemic-starch"


def starches(context: LabelContext) -> Iterator[tuple[Ingredient, str, str, str]]:
    """Yields every starch and gum with what it does, where it binds and its tested glycaemic index,
    then what else has such an index."""
    seen: set[tuple[int, ...]] = set()
    for answer in starch_answers(context):
        seen.add(answer.entry.path)
        does = data("words/reading")["starch_does"][answer.which]
        does += f" ({answer.why})" if answer.why else ""
        yield answer.entry, does, answer.published, _index(context, answer.entry)
    for entry in context.declaration.walk():
        index = _index(context, entry)
        if index and entry.path not in seen:
            yield entry, "carries carbohydrate", "", index


def high_from(context: LabelContext) -> float:
    """Returns the glycaemic index from which on it is high."""
    return context.settings.rules[_HIGH].parameters.number("high-from")


def _index(context: LabelContext, entry: Ingredient) -> str:
    tested = entry.match.known.glycaemic if entry.match else ()
    classed: str = data("words/reading")["glycaemic"][class_of(tested, high_from(context))]
    return classed + "; ".join(
        f"{number(food.value)} for {food.form}{'' if food.confirmed else ' (not confirmed)'}"
        for food in tested
    )


def index_sources(context: LabelContext) -> Iterator[str]:
    """Yields where the glycaemic indexes and the levels of binders are from."""
    for entry in context.declaration.walk():
        if entry.match:
            yield from (index.source for index in entry.match.known.glycaemic)
    for answer in starch_answers(context):
        known = answer.entry.match
        yield from (binder.source for binder in known.known.binding) if known else ()


_RULES = "data/reading"
_SHARE = "energy share"


class Ways(NamedTuple):
    """What may be added so that a target is reached: bowls by what is added, foods of which no
    amount is enough, what else is to be said; `there` is True where nothing need be added."""

    there: bool
    bowls: dict[str, Blend]
    not_enough: tuple[str, ...]
    words: tuple[str, ...]


class Asked(NamedTuple):
    """A target, and by whom it is wished. Where the label does not tell on which side of it the
    food lies, `doubt` is the likely range, and `questions` are what a maker could tell."""

    target: Target
    whose: str
    doubt: LikelyRange | None
    questions: Sequence[HelpfulQuestion]
    ways: Ways | None


def targets(
    context: LabelContext, assessment: Assessment, assessed: Assessed
) -> tuple[str, list[Asked]]:
    """Returns why no target is asked for ("" where some are), and those that are.

    The targets are those of `rules/data/carbohydrate.yaml`: the trade's for carbohydrate, and
    what animals chose in the first study there for protein.
    """
    if not context.species:
        return "Targets differ for dogs and cats, and the label does not say which it is for.", []
    if apart := [use for use in context.uses if use in data(_RULES)["no-target-for"]]:
        uses = listed(f"a {use}" for use in apart)
        return f"Not asked: it is sold as {uses}, not as a bowl.", []
    try:
        base = portion_of(assessment, "this food")
    except NotComputable as fault:
        return f"Cannot be worked out: {fault.reason}.", []
    asked = [_asked(context, base, *row) for row in _targets(assessed["carbohydrate"])]
    return "" if asked else "No target is known for this animal.", asked


def _asked(context: LabelContext, base: Portion, target: Target, whose: str) -> Asked:
    part = likely_parts(context).get(target.part)
    energy = part["energy_share"] if part else None
    if energy and energy["low"] <= target.value <= energy["high"]:
        questions = helpful_questions(context, target.part, "energy_share")
        return Asked(target, whose, energy, questions, None)
    return Asked(target, whose, None, (), _ways(base, _added(context), target))


def _added(context: LabelContext) -> list[list[Portion]]:
    """Returns what may be added: by food, its cuts from the usual to the leanest."""
    return [
        [portion_of_known(context.catalogue.known(row["id"]), row["name"]) for row in cuts]
        for cuts in data(_RULES)["added"]
    ]


def _targets(carbohydrate: CarbohydrateData) -> Iterator[tuple[Target, str]]:
    trade = carbohydrate["target"]
    if trade:
        yield (
            Target("carbohydrate", _SHARE, trade["high"], "at most"),
            "a rule of the trade without a source, not a requirement",
        )
    for study in carbohydrate["research"]:
        if study["protein"] is not None:
            what = f"what animals ate in one study ({study['what']}; {study['source']})"
            target = Target("protein", _SHARE, study["protein"], "at least")
            yield target, f"{what}, not a requirement"
            return


def _ways(base: Portion, added: Sequence[Sequence[Portion]], target: Target) -> Ways:
    blends: dict[str, Blend] = {}
    words: list[str] = []
    for cuts in added:
        tried: dict[str, Blend] = {}
        for portion in cuts:
            try:
                tried[portion.name] = blend(base, portion, target)
            except NotComputable as fault:
                words.append(f"{portion.name}: {fault.reason}")
        # The usual cut that gets there; where none does, the leanest says so.
        enough = [name for name, bowl in tried.items() if bowl["possible"]]
        kept = enough[:1] or list(tried)[-1:]
        blends |= {name: tried[name] for name in kept}
    possible = {name: bowl for name, bowl in blends.items() if bowl["possible"]}
    there = any(bowl["share_percent"] == 0 for bowl in possible.values())
    return Ways(there, possible, () if possible else tuple(blends), tuple(dict.fromkeys(words)))


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
        doubtful=points(context, doubtful),
        file=file,
        glance=glance(context),
        harm=harm,
        high_from=high_from(context),
        name=context.label.product_name or file,
        others=points(context, others),
        plan=plan,
        promises=proven["promises"],
        serious=serious,
        starches=list(starches(context)),
        targets=targets(context, assessment, assessed),
        unjudged=list(unjudged(context, proven, findings)),
        waived=points(context, linted.waived),
    )
    rules = context.settings.rules
    sources.update(str(rules[promise["rule"]].source) for promise in proven["promises"])
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
    yield from index_sources(context)
    yield from (finding.source for finding in findings)
    if assessed["energy"]:
        yield from (method["source"] for method in assessed["energy"]["by_method"])
    if assessed["profile"]:
        yield from (judgement["source"] for judgement in assessed["profile"]["judged"])
    yield from (study["source"] for study in assessed["carbohydrate"]["research"])
