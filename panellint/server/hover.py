"""What the server tells of the words under the pointer: the findings that mark them, an
ingredient, a promise of the product's name."""

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from markupsafe import Markup

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_share
from panellint.analysis.list_position import standing
from panellint.analysis.shares_report import promises
from panellint.catalogue.model import PARTS, Figure
from panellint.core.findings import Finding
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Promise
from panellint.output.templates import templates
from panellint.results.shares import JudgedPromise
from panellint.rulepacks.data import data

_TEMPLATES = Path(__file__).parent / "templates"
#: Signs that mean something to Markdown.
_SIGNS = re.compile(r"[\\`*_{}\[\]<>#|]")
#: A list of the rows of a table, which a hover counts.
_ROWS = re.compile(r"\d{5}(?:, \d{5})+")


def hover(
    context: LabelContext, offset: int, findings: Sequence[Finding] = ()
) -> tuple[str, Span] | None:
    """Returns markdown about what stands at an offset, and the words that it is about: the
    findings that mark it, then what it is. None where there is nothing to tell."""
    marking = sorted(
        (row for row in findings if _holds(row.span, offset)),
        key=lambda row: (row.severity.rank, row.span.end - row.span.start),
    )
    spans = [finding.span for finding in marking]
    name, entry = context.label.product_name_span, _entry(context, offset)
    in_name = name.start <= offset < name.end
    asked = [*_promises(context, offset)] if in_name else []
    entry = None if in_name else entry
    spans += [name] if asked else [entry.name_span] if entry else []
    if not spans:
        return None
    known = entry.match.known.figures if entry and entry.match else {}
    figures = [known[part] for part in PARTS if part in known]
    page = templates(_TEMPLATES, listed, number, shown=_shown)
    markdown = page.get_template("hover.md.j2").render(
        PARTS=PARTS,
        context=context,
        entry=entry,
        from_memory=not all(figure.confirmed for figure in figures),
        likely=likely_share(context, {entry.path: 1}) if entry else None,
        marking=marking,
        page_of=context.settings.page_of,
        promises=asked,
        sources=_sources(figures),
        stands=standing(context, entry) if entry else None,
        verdicts=data("words/reading")["promises"],
    )
    text = re.sub(r"\n{3,}", "\n\n", markdown).strip()
    return text.removesuffix("---").rstrip(), min(spans, key=lambda span: span.end - span.start)


def _holds(span: Span, offset: int) -> bool:
    return span.start <= offset < max(span.end, span.start + 1)


def _entry(context: LabelContext, offset: int) -> Ingredient | None:
    """Returns the innermost entry of the declaration whose name stands at an offset."""
    at = [entry for entry in context.declaration.walk() if _holds(entry.name_span, offset)]
    return min(at, key=lambda entry: entry.name_span.end - entry.name_span.start, default=None)


def _promises(context: LabelContext, offset: int) -> Iterator[tuple[Promise, JudgedPromise | None]]:
    """Yields the promises under the pointer; all of the name where none is."""
    judged = {promise["id"]: promise for promise in promises(context)}
    under = [here for here in context.promises if here.span.start <= offset < here.span.end]
    for promise in under or context.promises:
        yield promise, judged.get(promise.id)


def _sources(figures: Sequence[Figure]) -> list[str]:
    """Returns the documents that figures are from, each once."""
    documents = (document for figure in figures for document in figure.source.split("; "))
    counted = (_ROWS.sub(lambda rows: f"{rows[0].count(',') + 1} rows", row) for row in documents)
    return list(dict.fromkeys(counted))


def _shown(value: object) -> object:
    """Words of a label or a source, so that Markdown takes them as they are."""
    if isinstance(value, Markup):
        return value
    return Markup(_SIGNS.sub(r"\\\g<0>", str(value)))
