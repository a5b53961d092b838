"""What a new version of a label changed, in the terms of the trade."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.phrases import listed
from panellint.core.records import to_data
from panellint.core.source import Span
from panellint.core.text import fold_name, one_line
from panellint.lint.engine import lint_context
from panellint.output.findings.json import finding_data
from panellint.results.changes import ChangeData, LabelChanges
from panellint.tasks.bowl import sentences as sentences_of
from panellint.tasks.changes.amounts import (
    LabelChange,
    additives,
    carbohydrate,
    come_and_gone,
    energy,
    guarantees,
    pack_and_price,
    paired,
    verdicts,
)
from panellint.tasks.changes.listing import ingredients

_OTHER = (
    "feeding", "net-contents", "maker", "lot", "best-before", "storage", "contact", "warnings",
    "origin", "brand", "preparation",
)  # fmt: skip


def changes(old: LabelContext, new: LabelContext) -> LabelChanges:
    """Returns what a new version of a label changed: the object of `changes --format json`. Raises
    InputError as `lint_context` does."""
    label_changes = [
        *_name(old, new),
        *verdicts(old, new),
        *_facts(old, new),
        *ingredients(old, new),
        *guarantees(old.label, new.label),
        *additives(old.label, new.label),
        *energy(old.label, new.label),
        *_statements(old, new),
        *_others(old, new),
        *pack_and_price(old, new),
    ]
    label_changes += carbohydrate(old, new, label_changes)
    sentences = sentences_of("changes", changes=label_changes)
    gone, come = _findings(old, new)
    return {
        "old": old.source.path,
        "new": new.source.path,
        "changes": [
            to_data(
                ChangeData,
                change,
                change=change.kind,
                says=says,
                old=change.spans[0] and old.source.place(change.spans[0]),
                new=change.spans[1] and new.source.place(change.spans[1]),
            )
            for change, says in zip(label_changes, sentences, strict=True)
        ],
        "findings": {
            "new": [finding_data(new.source, finding) for finding in come],
            "gone": [finding_data(old.source, finding) for finding in gone],
        },
    }


# Name and facts -------------------------------------------------------------------------------


def _name(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    before, after = one_line(old.label.product_name), one_line(new.label.product_name)
    if before != after:
        places = old.label.product_name_span, new.label.product_name_span
        yield LabelChange("name", "changed", after or before, before, after, places)
    pairs, gone, come = paired(
        old.promises, new.promises, lambda pair: tuple(named.match.known.id for named in pair.named)
    )
    for was, now in pairs:
        if (was.tier, was.percent) != (now.tier, now.percent):
            named = listed(each.name for each in now.named) or now.text
            yield LabelChange("name", "tier", named, was, now)
    yield from come_and_gone("name", come, gone, lambda promise: one_line(promise.text))


def _facts(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    for what, before, after in (
        ("market", old.market.upper(), new.market.upper()),
        ("edition", old.edition, new.edition),
        ("species", old.species or "", new.species or ""),
        ("life stage", listed(old.stages), listed(new.stages)),
        ("form", old.form.id, new.form.id),
        *(
            (kind, *(one_line(context.fact(kind) or "") for context in (old, new)))
            for kind in ("price", "ash", "batch-sheet")
        ),
    ):
        if before != after:
            yield LabelChange("facts", "changed", what, before, after)


# Statements -----------------------------------------------------------------------------------


class _Printed(NamedTuple):
    """A statement or a claim as it is printed."""

    text: str
    span: Span


def _statements(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    for what, printed in (("statement", _adequacy), ("claim", _claims)):
        _, gone, come = paired(printed(old), printed(new), lambda line: fold_name(line.text))
        kinds = f"{what} new", f"{what} gone"
        yield from come_and_gone("statements", come, gone, lambda line: line.text, kinds)


def _adequacy(context: LabelContext) -> Iterator[_Printed]:
    for statement in context.label.adequacy:
        yield _Printed(one_line(context.source.slice(statement.span)), statement.span)


def _claims(context: LabelContext) -> Iterator[_Printed]:
    return (_Printed(one_line(text), span) for text, span in context.label.claims)


def _others(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    for kind in _OTHER:
        was, now = (
            " ".join(one_line(section.text) for section in context.label.sections_of(kind))
            for context in (old, new)
        )
        if fold_name(was) != fold_name(now):
            yield LabelChange("other", "changed", kind.replace("-", " "), was, now)


# Findings -------------------------------------------------------------------------------------


def _findings(old: LabelContext, new: LabelContext) -> tuple[list[Finding], list[Finding]]:
    """Findings that went and that came, whatever moved around them."""
    before, after = (lint_context(context, context.settings).findings for context in (old, new))

    def mark(context: LabelContext) -> Callable[[Finding], Hashable]:
        return lambda finding: (finding.rule, fold_name(context.source.slice(finding.span)))

    marks = Counter(map(mark(old), before)), Counter(map(mark(new), after))
    gone = _surplus(before, mark(old), marks[0] - marks[1])
    come = _surplus(after, mark(new), marks[1] - marks[0])
    _, gone, come = paired(gone, come, lambda finding: (finding.rule, finding.message))
    return gone, come


def _surplus(
    findings: Sequence[Finding], mark: Callable[[Finding], Hashable], left: Counter[Hashable]
) -> list[Finding]:
    surplus = []
    for finding in findings:
        if left[mark(finding)] > 0:
            left[mark(finding)] -= 1
            surplus.append(finding)
    return surplus
