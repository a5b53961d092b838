"""Changes of the text that the server offers beside those that a finding brings along: the
prescribed order of guarantees, a draft of a missing statement, a waiver line with a date.

The drafts are data (`rules/words/drafts.yaml`).
"""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.core.findings import Edit, Finding, Remedy
from panellint.core.phrases import fill
from panellint.core.source import Source, Span
from panellint.label.model import Guarantee
from panellint.lint.checks.support.label_parts import name_of
from panellint.rulepacks import registry
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

ORDER = "guarantee-order"


def remedies(context: LabelContext, finding: Finding, today: date) -> Iterator[Remedy]:
    """Yields the finding's own remedies, then the server's; the waiver last."""
    yield from finding.remedies
    rule = context.settings.rules.get(finding.rule)
    if rule is None:
        return
    if rule.check == ORDER:
        yield from _in_order(context, rule)
    yield from _drafts(context, rule)
    if rule.check != registry.WAIVER:
        yield _waiver(context, finding, today)


def _in_order(context: LabelContext, rule: Rule) -> Iterator[Remedy]:
    """Yields the remedy that puts each line of the prescribed order in its place; others stay.

    A nutrient that is guaranteed twice, or lines that overlap, are left to the maker.
    """
    order = [nutrient for nutrient, _ in _prescribed(context, rule)]
    order += rule.parameters.texts("then")
    given = [guarantee for guarantee in context.label.guarantees if guarantee.nutrient in order]
    if len({guarantee.nutrient for guarantee in given}) < len(given):
        return
    places = sorted(given, key=lambda guarantee: guarantee.span)
    if any(a.span.end > b.span.start for a, b in pairwise(places)):
        return
    wanted = sorted(given, key=lambda guarantee: order.index(guarantee.nutrient or ""))
    edits = tuple(
        Edit(place.span, context.source.slice(right.span))
        for place, right in zip(places, wanted, strict=True)
        if place is not right
    )
    if edits:
        yield Remedy("Put the guarantees in the prescribed order", edits)


def _prescribed(context: LabelContext, rule: Rule) -> list[tuple[str, str]]:
    """Returns nutrient and bound of each mandatory line, in order."""
    lines = data(rule.parameters.text("lines"))["lines"].get(context.edition, ())
    return [(nutrient, bound) for nutrient, _, bound in (line.partition(" ") for line in lines)]


def _drafts(context: LabelContext, rule: Rule) -> Iterator[Remedy]:
    drafts = data("words/drafts")
    values = _values(context, drafts["blank"])
    for draft in drafts["drafts"].get(rule.id, ()):
        yield _inserted(context, draft["title"], [fill(draft["text"], values)], draft.get("after"))
    if (listed := drafts["lists"].get(rule.check)) is not None:
        yield from _missing_lines(context, rule, listed)


def _values(context: LabelContext, blank: str) -> dict[str, object]:
    species = context.species or ""
    return {
        "name": context.label.product_name or blank,
        "species": species.capitalize() or blank,
        "animals": f"{species}s" if species else blank,
        "stage": " and ".join(context.stages) or blank,
    }


def _missing_lines(context: LabelContext, rule: Rule, listed: dict[str, Any]) -> Iterator[Remedy]:
    """Yields the lines that a list lacks, each behind the one that precedes it in the rule's
    order."""
    if "lines" in rule.parameters:
        wanted = dict(_prescribed(context, rule))
        names = {nutrient: name_of(nutrient).capitalize() for nutrient in wanted}
    else:
        wanted = dict.fromkeys(rule.parameters["nutrients"], "")
        names = {key: str(name).capitalize() for key, name in rule.parameters["nutrients"].items()}
    given = {guarantee.nutrient: guarantee for guarantee in reversed(context.label.guarantees)}
    lines = {
        nutrient: fill(listed["line"], {"nutrient": names[nutrient], "bound": bound})
        for nutrient, bound in wanted.items()
        if nutrient not in given
    }
    if not lines:
        return
    if not context.label.guarantees:
        yield _inserted(
            context, listed["title"], [listed["heading"], *lines.values()], "declaration"
        )
        return
    edits: dict[int, list[str]] = {}
    behind: Guarantee | None = None
    for nutrient in wanted:
        if nutrient in given:
            behind = given[nutrient]
        else:
            at = behind.span.end if behind else _before(context, given, list(wanted))
            edits.setdefault(at, []).append(lines[nutrient])
    yield Remedy(listed["title"], tuple(_line_edits(context.source, edits)))


def _before(context: LabelContext, given: dict[str | None, Guarantee], order: list[str]) -> int:
    """Returns where lines go that nothing precedes: the end of the line before the first one
    given."""
    behind = (given[nutrient] for nutrient in order if nutrient in given)
    first = next(behind, context.label.guarantees[0])
    return context.source.line_start(context.source.position(first.span.start).line)


def _line_edits(source: Source, edits: dict[int, list[str]]) -> Iterator[Edit]:
    """Yields edits that put new lines behind the line of an offset, or before one that starts
    there."""
    end = _line_end(source)
    grouped: dict[int, list[str]] = {}
    for offset, lines in sorted(edits.items()):
        number = source.position(offset).line
        start = source.line_start(number)
        at = start if offset == start else start + len(source.line(number))
        grouped.setdefault(at, []).extend(lines)
    for at, lines in grouped.items():
        leading = at == 0 or source.text[at - 1] in "\r\n"
        text = "".join(line + end for line in lines) if leading else ""
        yield Edit(Span(at, at), text or "".join(end + line for line in lines))


def _inserted(
    context: LabelContext, title: str, lines: list[str], after: str | None = None
) -> Remedy:
    """Lines of their own behind the last section of a kind, or at the end of the text."""
    source = context.source
    end = _line_end(source)
    sections = context.label.sections_of(after) if after else ()
    if sections:
        last = sections[-1].body
        stop = last.start + len(source.slice(last).rstrip())
        number = source.position(max(stop, sections[-1].heading.end)).line
        at = source.line_start(number) + len(source.line(number))
        return Remedy(title, (Edit(Span(at, at), "".join(end + line for line in lines)),))
    at = len(source.text)
    ended = at == 0 or source.text[-1] in "\r\n"
    text = "".join(line + end for line in lines)
    return Remedy(title, (Edit(Span(at, at), text if ended else end + text),))


def _line_end(source: Source) -> str:
    """Returns the line end that the text uses itself."""
    first = source.text.find("\n")
    return "\r\n" if first > 0 and source.text[first - 1] == "\r" else "\n"


def _waiver(context: LabelContext, finding: Finding, today: date) -> Remedy:
    """Returns a waiver line at the end. Its reason is left open: until the maker writes one, it
    does not hold, and says so."""
    until = today + timedelta(days=int(data("words/drafts")["waive_for_days"]))
    line = f"Waive {finding.rule} until {until.isoformat()}"
    return _inserted(context, f"{line}, for a reason that you write", [f"{line}: "])
