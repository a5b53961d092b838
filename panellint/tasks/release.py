"""Every label with its sheet, in each market that it is sold in: may it go to print?"""

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from fnmatch import fnmatchcase
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from panellint import __version__
from panellint.analysis.context import LabelContext
from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.files import relative
from panellint.core.findings import Certainty, Finding, Severity, State
from panellint.core.phrases import capital, listed
from panellint.core.source import Source, read
from panellint.lint.engine import lint_context
from panellint.lint.runner.git import content_at, has_changed
from panellint.maker.balance import balance
from panellint.maker.batch import read_batch
from panellint.maker.context import weighed, with_batch
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile import is_ours, reconcile
from panellint.maker.reconcile.guarantees import OPEN, compared
from panellint.maker.reconcile.settled import SETTLES, settled_rules
from panellint.maker.sheet.locate import sheet_of
from panellint.maker.sheet.read import SheetChoice
from panellint.output.render_options import CAUTION
from panellint.results.release import (
    JudgedFile,
    MarketState,
    Price,
    QuestionState,
    Reason,
    Release,
    ReleasedLabel,
)
from panellint.results.requirements import RequirementData
from panellint.rulepacks import packs
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings, markets_in, settings_files
from panellint.tasks.requirements import sheet as requirement_sheet

MAY, MAY_NOT, NOT_JUDGED = "may print", "may not print", "not judged"
IN_ORDER, DEPARTS, LOOK_AT = "in order", "departs", "to look at"
_REQUIREMENTS, _LABEL = "requirements", "label"
#: States of a requirement that keep a label from print, and those that are to be looked at.
_AGAINST = (State.DEPARTS, State.MISSING, State.NOT_READ)


class Gate(NamedTuple):
    """How a run judges: the mildest severity that keeps from print (None: that of the settings),
    the revision since which labels are looked at, whether weights go into the dossier, whether
    nothing keeps a label from print, and the day that waivers are judged on (None: today)."""

    fail_at: Severity | None = None
    since: str | None = None
    with_weights: bool = False
    never: bool = False
    day: date | None = None


def release(
    paths: Iterable[str], gate: Gate | None = None, progress: Callable[[], None] = lambda: None
) -> Release:
    """Returns which labels may go to print, which may not and why, with the digests of all that was
    judged. Raises PanellintError where the revision cannot be used."""
    gate = gate or Gate()
    day = gate.day or date.today()
    labels, unchanged = [], []
    for path in paths:
        label = _label(path, gate._replace(day=day))
        beside = [file["path"] for file in label["files"]]
        if gate.since and not has_changed(gate.since, path, beside):
            unchanged.append(path)
        else:
            labels.append(label)
        progress()
    verdicts = Counter(released_label["verdict"] for released_label in labels)
    return {
        "day": day.isoformat(),
        "since": gate.since,
        "program": {"version": __version__, "rules": rules_digest()},
        "labels": labels,
        "unchanged": unchanged,
        "summary": {kind.replace(" ", "_"): verdicts[kind] for kind in (MAY, MAY_NOT, NOT_JUDGED)},
        "caution": CAUTION,
    }


def _label(path: str, gate: Gate) -> ReleasedLabel:
    """One label; what cannot be read of it, or of its sheet, is a reason of its own."""
    settings = Settings.for_path(path)
    try:
        source = read(path)
    except InputError as error:
        return _not_judged(path, "", path, error.faults, [])
    label = LabelContext(source, settings).label
    files = list(judged_files(path, None, settings))
    named = label.facts.get("batch-sheet")
    if named is None:
        fault = Fault(path, None, None, "names no batch sheet", "`Batch sheet: sheets/name.csv`")
        return _not_judged(path, label.product_name, None, (fault,), files)
    try:
        return _judged(source, sheet_of(source), settings, gate)
    except InputError as error:
        return _not_judged(path, label.product_name, named[0], error.faults, files)


def _not_judged(
    path: str, product: str, sheet: str | None, faults: Sequence[Fault], files: list[JudgedFile]
) -> ReleasedLabel:
    return {
        "path": path,
        "product": product,
        "verdict": NOT_JUDGED,
        "why": [_reason(None, "weights", "", Severity.ERROR, str(fault), None) for fault in faults],
        "look_at": [],
        "waived": [],
        "sheet": sheet,
        "markets": [],
        "balance": None,
        "price": None,
        "files": files,
    }


def _reason(
    market: str | None,
    question: str,
    rule: str,
    severity: Severity,
    message: str,
    place: tuple[int, int] | None,
) -> Reason:
    line, column = place or (None, None)
    return {
        "market": market,
        "question": question,
        "rule": rule,
        "severity": severity.value,
        "message": message,
        "line": line,
        "column": column,
        "arithmetic": [],
    }


def _judged(source: Source, batch: Batch, settings: Settings, gate: Gate) -> ReleasedLabel:
    against: list[Reason] = []
    look_at: list[Reason] = []
    waived: list[str] = []
    states = []
    printed = LabelContext(source, settings)
    label = printed.label
    weights = None
    for market in markets_in(printed.fact("market") or "") or (printed.market,):
        there = settings.with_market(market)
        context = with_batch(source, batch, there)
        weights = weighed(context)
        own, mild = _reasons(context, gate, waived)
        against += own
        look_at += mild
        states.append(_state(context, own, mild))
    result: ReleasedLabel = {
        "path": source.path,
        "product": label.product_name,
        "verdict": MAY_NOT if against else MAY,
        "why": against,
        "look_at": look_at,
        "waived": list(dict.fromkeys(waived)),
        "sheet": f"{batch.path}[{batch.worksheet}]" if batch.worksheet else batch.path,
        "markets": states,
        "balance": balance(weights.formula) if weights and weights.finished_known else None,
        "price": price_of(weights.formula, gate.since) if weights else None,
        "files": list(judged_files(source.path, batch, settings)),
    }
    if gate.with_weights:
        result["weights"] = [
            {"name": line.name, "percent": float(100 * batch.share(line))} for line in batch.lines
        ]
    return result


def _reasons(
    context: LabelContext, gate: Gate, waived: list[str]
) -> tuple[list[Reason], list[Reason]]:
    """What stands against print in a market, and what is to be looked at, each once: what the
    weights settle is told with them, and not as the label alone leaves it."""
    source, settings = context.source, context.settings
    least = None if gate.never else gate.fail_at or settings.fail_at
    alone = LabelContext.of(source, settings)
    weighed_up = reconcile(context, today=gate.day)
    linted = lint_context(alone, settings, today=gate.day)
    reported = {rule for finding in weighed_up.findings for rule in _rules_of(finding)}
    settled = settled_rules(settings.rules.values())
    ours = {rule.id for rule in settings.rules.values() if is_ours(rule)}
    against: list[Reason] = []
    mild: list[Reason] = []
    accepted = (*linted.waived, *weighed_up.waived)
    waived += [f"{finding.rule}: {finding.message}" for finding in accepted]
    for finding in (
        *(finding for finding in linted.findings if not _is_settled(finding, settled, reported)),
        *weighed_up.findings,
    ):
        rule = settings.rules.get(_rules_of(finding)[-1])
        reason = _reason(
            alone.market,
            _question(rule.check if rule else ""),
            finding.rule,
            finding.severity,
            finding.message,
            source.position(finding.span.start),
        )
        shown = gate.with_weights or finding.rule not in ours
        reason["arithmetic"] = list(finding.proof) if shown else None
        if least is not None and finding.severity.rank <= least.rank:
            against.append(reason)
        elif finding.severity is not Severity.HINT:
            mild.append(reason)
    for severity, words in _unjudged(context):
        held = least is not None and severity.rank <= least.rank
        reason = _reason(alone.market, "guarantees", "", severity, words, None)
        (against if held else mild).append(reason)
    reported |= {reason["rule"] for reason in (*against, *mild)}
    for requirement in _requirements(context, against):
        departs = requirement["state"] in _AGAINST
        if not (departs or requirement["state"] == State.OPEN):
            continue
        rules = {finding["rule"] for finding in requirement["findings"]}
        if rules & reported or (rules and rules <= {finding.rule for finding in accepted}):
            continue  # a reason has it already, or the maker has accepted it
        words = f"{capital(requirement['state'].replace('-', ' '))}: {requirement['what']}"
        words += f" ({requirement['note']})" if requirement["note"] else ""
        start = requirement["start"]
        place = (start["line"], start["column"]) if start else None
        (against if departs else mild).append(
            _reason(alone.market, _REQUIREMENTS, requirement["id"], Severity.WARNING, words, place)
        )
    return against, mild


def _unjudged(context: LabelContext) -> Iterator[tuple[Severity, str]]:
    """What the figures at hand do not let judge of the label's own figures, and how grave that is:
    silence is no pass."""
    label = context.label
    if not weighed(context).finished_known and (label.guarantees or label.energy):
        yield (
            Severity.WARNING,
            "What the finished food holds is not known, so that nothing of it is held against the "
            "label: state its moisture or the yield in the sheet.",
        )
    elif weighed(context).finished_known:
        for comparison in compared(context):
            if comparison.verdict == OPEN:
                words = f"{comparison.guarantee.printed} is not judged: no figure for"
                yield Severity.INFORMATION, f"{words} {listed(comparison.content.unknown)}."


def _rules_of(finding: Finding) -> tuple[str, ...]:
    """The rule of a finding, and the one that it settles."""
    settled = (tag.removeprefix(SETTLES) for tag in finding.tags if tag.startswith(SETTLES))
    return finding.rule, *settled


def _is_settled(finding: Finding, settled: frozenset[str], rules: set[str]) -> bool:
    """Whether the weights have settled what a label alone leaves open, or say it themselves."""
    return finding.rule in settled and (
        finding.certainty is not Certainty.PROVEN or finding.rule in rules
    )


def _requirements(context: LabelContext, against: list[Reason]) -> list[RequirementData]:
    """The requirements of the market; those that the weights alone settle are met where the sheet
    has nothing against them."""
    settled, unless = (data("data/release")[key] for key in ("by_weights", "unless"))
    wrong = any(reason["rule"] in unless for reason in against)
    return [
        {**requirement, "state": State.MET.value}
        if requirement["id"] in settled and requirement["state"] == State.OPEN and not wrong
        else requirement
        for requirement in requirement_sheet(context)["requirements"]
    ]


def _question(check: str) -> str:
    for row in data("data/release")["questions"]:
        if any(fnmatchcase(check, pattern) for pattern in row["checks"]):
            return str(row["question"])
    return _LABEL


def _state(context: LabelContext, against: list[Reason], mild: list[Reason]) -> MarketState:
    questions: list[QuestionState] = []
    for question in data("data/release")["order"]:
        own = sum(reason["question"] == question for reason in against)
        look_at = sum(reason["question"] == question for reason in mild)
        state = DEPARTS if own else LOOK_AT if look_at else IN_ORDER
        questions.append({"question": question, "state": state, "reasons": own or look_at})
    counted = Counter(requirement["state"] for requirement in _requirements(context, against))
    return {
        "market": context.market,
        "edition": context.edition,
        "questions": questions,
        "requirements": dict(counted),
    }


def judged_files(label: str, batch: Batch | None, settings: Settings) -> Iterator[JudgedFile]:
    """Yields the label, its sheet with those of its premixes and materials, and the settings, packs
    and ingredients of the user that reach it, each with its digest."""
    yield _file(label, "label")
    for path in batch.files if batch else ():
        yield _file(path, "sheet")
    for kind, paths in (
        ("settings", settings_files(label)),
        ("pack", settings.packs),
        ("ingredients", settings.ingredients),
    ):
        for name in paths:
            yield _file(relative(name), kind)


def _file(path: str, kind: str) -> JudgedFile:
    digest = sha256(Path(path).read_bytes()).hexdigest()
    return {"path": Path(path).as_posix(), "kind": kind, "sha256": digest}


def rules_digest() -> str:
    """Returns one digest of all rule packs of the program."""
    whole = sha256()
    for path in sorted(packs.pack_files()):
        whole.update(sha256(path.read_bytes()).digest())
    return whole.hexdigest()


def price_of(formula: Formula, revision: str | None) -> Price | None:
    """Returns the cost of a batch; None where a line has none."""
    now = formula.batch.cost()
    if now is None:
        return None
    food = formula.finished_weight()
    before = _earlier(formula.batch, revision) if revision else None
    return {
        "mix": round(float(now), 4),
        "food": round(float(now) / food, 4) if food else None,
        "before": None if before is None else round(float(before), 4),
    }


def _earlier(batch: Batch, revision: str) -> Fraction | None:
    """The cost per kg of the mix at a revision; None where there was no such sheet, or it cannot
    be read any more."""
    top = os.path.commonpath([os.path.dirname(os.path.abspath(file)) for file in batch.files])
    with TemporaryDirectory(prefix="panellint-release-") as folder, suppress(PanellintError):
        for path in batch.files:
            content, _ = content_at(revision, Path(relative(path)).as_posix())
            copy = Path(folder) / relative(os.path.abspath(path), top)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(content)
        main = Path(folder) / relative(os.path.abspath(batch.files[0]), top)
        return read_batch(main, Path(folder), SheetChoice(batch.worksheet)).cost()
    return None
