"""What a new version of a label changed, in the terms of the trade."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.records import to_data
from panellint.core.text import fold_name, one_line
from panellint.lint.engine import lint_context
from panellint.output.findings.json import finding_data
from panellint.results.changes import ChangeData, LabelChanges
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
    gone, come = _findings(old, new)
    return {
        "old": old.source.path,
        "new": new.source.path,
        "changes": [
            to_data(
                ChangeData,
                change,
                change=change.kind,
                old=change.old and old.source.place(change.old),
                new=change.new and new.source.place(change.new),
            )
            for change in label_changes
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
        says = f"The name “{before or 'nothing'}” is now “{after or 'nothing'}”."
        yield LabelChange("name", "changed", after or before, says,
                     old.label.product_name_span, new.label.product_name_span)  # fmt: skip
    pairs, gone, come = paired(
        old.promises, new.promises, lambda pair: tuple(named.match.known.id for named in pair.named)
    )
    for promise, other in pairs:
        named = listed(n.name for n in other.named) or other.text
        if (promise.tier, promise.percent) != (other.tier, other.percent):
            was, now = (
                f"“{p.tier}”" + (f" with {number(p.percent)} %" if p.percent is not None else "")
                for p in (promise, other)
            )
            says = f"What the name promises of {named} goes by {now} and no longer by {was}."
            yield LabelChange("name", "tier", named, says, promise.span, other.span)
    yield from come_and_gone(
        "name",
        (
            (one_line(p.text), f"“{one_line(p.text)}” is promised now ({p.tier}).", p.span)
            for p in come
        ),
        (
            (one_line(p.text), f"“{one_line(p.text)}” ({p.tier}) is promised no longer.", p.span)
            for p in gone
        ),
    )


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
            says = f"The {what} is {after or 'not said'} and was {before or 'not said'}."
            yield LabelChange("facts", "changed", what, says)


# Statements -----------------------------------------------------------------------------------


def _statements(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    statements, claims = (
        [
            [(one_line(c.source.slice(s.span)), s.span) for s in c.label.adequacy]
            for c in (old, new)
        ],
        [[(one_line(text), span) for text, span in c.label.claims] for c in (old, new)],
    )
    for what, (before, after) in (("statement", statements), ("claim", claims)):
        _, gone, come = paired(before, after, lambda pair: fold_name(pair[0]))
        yield from come_and_gone(
            "statements",
            ((text, f"A {what} appeared: “{text}”.", span) for text, span in come),
            ((text, f"A {what} is gone: “{text}”.", span) for text, span in gone),
            (f"{what} new", f"{what} gone"),
        )


def _others(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    for kind in _OTHER:
        before, after = (
            " ".join(one_line(section.text) for section in context.label.sections_of(kind))
            for context in (old, new)
        )
        if fold_name(before) == fold_name(after):
            continue
        what = kind.replace("-", " ")
        words = {(False, True): "stands there now", (True, False): "is gone"}.get(
            (bool(before), bool(after)), "reads otherwise"
        )
        yield LabelChange("other", "changed", what, f"{what.capitalize()} {words}.")


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
