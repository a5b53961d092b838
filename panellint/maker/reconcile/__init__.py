"""The label against the batch sheet behind it: findings in the label's text, as `lint` gives; and
what `lint` says of a panel file that names its sheet: that there is more to ask."""

import os
from collections.abc import Iterator
from datetime import date

from panellint.analysis.context import LabelContext
from panellint.core.errors import InputError
from panellint.core.findings import Certainty, FileFindings, Finding, Observation
from panellint.lint import waivers
from panellint.lint.engine import findings_of
from panellint.maker.sheet.locate import INLINE, sheet_path
from panellint.results.batch import Reconciliation
from panellint.rulepacks import registry
from panellint.rulepacks.model import Rule


def is_ours(rule: Rule) -> bool:
    """Whether a rule compares a label with its batch sheet."""
    return registry.is_elsewhere(rule.check)


def reconcile(context: LabelContext, *, today: date | None = None) -> FileFindings:
    """Where label and batch sheet part ways, in the order of the text; waivers hold as in
    `lint`. Raises InputError where settings, packs or the sheet are faulty."""
    rules = context.settings.rules
    findings = findings_of(context, (rule for rule in rules.values() if is_ours(rule)))
    reviewed = waivers.review(
        context.label.waivers,
        findings,
        context.source,
        rules,
        today or date.today(),
        complete=False,
        terms=waivers.Terms.of(context.settings),
    )
    return reviewed.result(context.source)


def to_dict(context: LabelContext, result: FileFindings) -> Reconciliation:
    """Returns the object of `reconcile --format json`: the findings, and what the batch comes
    to."""
    from panellint.lint.runner.results import Checked
    from panellint.maker.reconcile.data import batch_data
    from panellint.output.findings.json import whole

    return {**whole(Checked(context.source.path, result)), "batch": batch_data(context)}


def without_weights(result: FileFindings) -> FileFindings:
    """The same for eyes that may not see the formula: no proof and no remedy that tells a
    weight of the sheet. Messages never hold one."""
    from panellint.maker.reconcile.listing import SECRET

    def bare(finding: Finding) -> Finding:
        return finding._replace(
            proof=(), remedies=() if SECRET in finding.tags else finding.remedies
        )

    return result._replace(
        findings=tuple(map(bare, result.findings)), waived=tuple(map(bare, result.waived))
    )


def named_sheet(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A batch sheet that the panel file names: which rules it settles, or why it cannot be
    used. The sheet itself is not read."""
    text, span = context.label.facts["batch-sheet"]
    text = text.strip()
    if text.startswith(INLINE):
        return
    values: dict[str, object] = {"sheet": text, "label": os.path.basename(context.source.path)}
    try:
        path = sheet_path(context.source.path, text)
    except InputError:
        yield Observation(span, Certainty.PROVEN, values, variant="outside")
        return
    there = os.path.isfile(path)
    settled = [
        other.id
        for other in context.settings.rules.values()
        if is_ours(other) and other.check != rule.check and other.is_on
    ]
    state = "" if there else f"There is no batch sheet {text} yet. "
    yield Observation(
        span,
        Certainty.PRACTICE if there else Certainty.PROVEN,
        {**values, "state": state, "settled": settled},
    )
