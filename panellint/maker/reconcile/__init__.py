"""The label against the batch sheet behind it: findings in the label's text, as `lint` gives."""

from datetime import date

from panellint.analysis.context import LabelContext
from panellint.core.findings import FileFindings, Finding
from panellint.lint import waivers
from panellint.lint.engine import findings_of
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
    return FileFindings(
        context.source,
        tuple(sorted(reviewed.standing, key=Finding.sort_key)),
        tuple(sorted(reviewed.waived, key=Finding.sort_key)),
    )


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
        findings=tuple(map(bare, result.findings)),
        waived=tuple(map(bare, result.waived)),
    )
