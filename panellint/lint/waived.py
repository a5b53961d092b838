"""All that labels waive and settings switch off, in one list for who must answer for it."""

from collections.abc import Iterable, Iterator
from datetime import date

from panellint.analysis.context import LabelContext
from panellint.core.records import to_data
from panellint.core.source import read
from panellint.lint import waivers
from panellint.lint.engine import findings_of
from panellint.results.findings import RuleChange, Waived, WaiverData
from panellint.rulepacks import packs
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import Settings


def waived(paths: Iterable[str], left_out: Iterable[str] = (), today: date | None = None) -> Waived:
    """Returns what the labels waive and their settings change. Raises InputError where a label
    cannot be read."""
    from panellint.lint.runner.baseline import Baseline

    day = today or date.today()
    listed: list[WaiverData] = []
    reached: dict[str, Settings] = {}
    for path in paths:
        settings = Settings.for_path(path)
        reached.setdefault(settings.path, settings)
        listed += _of_label(LabelContext.of(read(path), settings), day)
    settings_of = sorted(reached.items())
    known = dict.fromkeys(settings.baseline for _, settings in settings_of if settings.baseline)
    return {
        "waivers": listed,
        "changes": [
            change for path, settings in settings_of for change in _changes(path, settings)
        ],
        "known": [
            {"baseline": file, "label": label, "rule": entry.rule, "text": entry.text}
            for file in known
            for label, entry in Baseline.of_file(file).entries()
        ],
        "left_out": list(left_out),
        "locked": sorted({rule for _, settings in settings_of for rule in settings.locked}),
    }


def _of_label(context: LabelContext, today: date) -> Iterator[WaiverData]:
    if not context.label.waivers:
        return
    settings = context.settings
    named = {waiver.rule for waiver in context.label.waivers}
    findings = findings_of(context, (r for r in settings.rules.values() if r.id in named))
    source, terms = context.source, waivers.Terms.of(settings)
    for waiver in context.label.waivers:
        review = waivers.review([waiver], findings, source, settings.rules, today, terms=terms)
        yield to_data(
            WaiverData,
            waiver,
            label=context.source.path,
            line=context.source.position(waiver.span.start).line,
            state=review.faults[0][0] if review.faults else "holds",
            findings=[finding.message for finding in review.waived],
        )


def _changes(path: str, settings: Settings) -> Iterator[RuleChange]:
    usual = packs.load(settings.packs)
    for name in sorted(settings.changes):
        rule, before = settings.rules[name], usual[name]
        if not rule.is_on and before.is_on:
            words = "switched off"
        elif rule.severity != before.severity:
            words = f"{_severity(before)} becomes {_severity(rule)}"
        elif rule != before:
            words = "other parameters"
        else:
            continue
        yield {"settings": path, "rule": name, "change": words}


def _severity(rule: Rule) -> str:
    weights = [severity for severity in rule.severity.values() if severity is not None]
    return min(weights, key=lambda severity: severity.rank).value if weights else "off"
