"""What a recipe does not bear of the label that is written for it: its name, its adequacy."""

from panellint.analysis.context import LabelContext
from panellint.core.findings import FileFindings
from panellint.maker.reconcile import reconcile
from panellint.maker.reconcile.adequacy import adequacy_of
from panellint.rulepacks.data import data


def not_borne(context: LabelContext, linted: FileFindings) -> list[str]:
    """Returns the findings on names, hazards and adequacy of a label beside its batch, as words;
    which rules and checks count, and at which severity, stands in the data."""
    kinds = data("data/batch")["not_borne"]
    findings = (*linted.findings, *reconcile(context).findings)
    rules = context.settings.rules
    return list(
        dict.fromkeys(
            finding.message
            for finding in findings
            if finding.rule in rules
            and finding.severity
            in kinds.get(finding.rule, kinds.get(rules[finding.rule].check, ()))
        )
    )


def not_shown(context: LabelContext) -> list[str]:
    """Returns the nutrients of the profile that the figures at hand leave open: no figure, or a
    range on both sides of the limit."""
    judged = adequacy_of(context)
    if judged is None:
        return []
    left = [limit.limit.nutrient for limit in judged[1] if limit.verdict in ("open", "unknown")]
    return [nutrient.replace("-", " ") for nutrient in dict.fromkeys(left)]
