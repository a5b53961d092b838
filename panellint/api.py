"""The answers of the commands as plain data, for notebooks and other programs.

Each function returns exactly the object that its command prints with `--format json` for one
file, less the `version` of its shape; the types of these objects are in `panellint.results`. A
label is given as its text, with a path that names it; without `settings`, those that reach that
path apply. A batch sheet is given by the path of its CSV or XLSX file, or as it was read.
PanellintError is raised where there is no answer, and its kind InputError where a settings file,
a pack or a sheet is faulty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.maker.model import Batch
    from panellint.report.blocks import Block
    from panellint.results.batch import Declaration, Reconciliation, Reformulation
    from panellint.results.certificate import Certificate
    from panellint.results.changes import LabelChanges
    from panellint.results.findings import LintedFile
    from panellint.results.foods import Blend, Comparison
    from panellint.results.ingredient import IngredientEntry
    from panellint.results.nutrition import Nutrition
    from panellint.results.outline import Outline
    from panellint.results.plan import Plan
    from panellint.results.release import Release
    from panellint.results.report import Report
    from panellint.results.requirements import RequirementSheet
    from panellint.results.rules import RuleData, RuleRow
    from panellint.results.shares import Shares
    from panellint.results.trace import Trace
    from panellint.rulepacks.settings import Settings

__all__ = [
    "Label",
    "blend",
    "changes",
    "compare",
    "declare",
    "ingredient",
    "lint",
    "nutrition",
    "outline",
    "plan",
    "reconcile",
    "reformulate",
    "release",
    "report",
    "requirements",
    "rule",
    "rules",
    "shares",
    "trace",
]


class Label(NamedTuple):
    """The text of one label, the path that names it, and the settings that apply to it (None:
    those that reach the path)."""

    text: str
    path: str = "-"
    settings: Settings | None = None


# One label ------------------------------------------------------------------------------------


def lint(text: str, path: str = "-", settings: Settings | None = None) -> LintedFile:
    """Returns the findings of one label: one element of `files` of `lint --format json`."""
    from panellint.core.source import Source
    from panellint.lint.engine import lint as find
    from panellint.output.findings.json import file_data

    return file_data(find(Source(text, path), settings))


def requirements(
    text: str,
    path: str = "-",
    settings: Settings | None = None,
    edition: str | None = None,
    state: str | None = None,
) -> RequirementSheet:
    """Returns what the market asks of a label, each requirement in one state, with its clause.

    `edition` is that of the market's text; None takes that of the `state`, else the label's own. A
    state of the US gives the clauses of its own text. Raises InputError for an edition or a state
    that is not known, PanellintError for a state where the market is another.
    """
    from panellint.core.errors import PanellintError
    from panellint.rulepacks.requirements import state_text
    from panellint.tasks.requirements import sheet

    label = Label(text, path, settings or _settings(path))
    market = _context(label, quick=True).market
    enacted = state_text(state) if state else None
    if enacted and market != "us":
        raise PanellintError(
            f"{path}: {enacted.title} is a state of the US; the market is {market}"
        )
    edition = edition or (enacted.edition if enacted else None)
    if edition is not None and label.settings is not None:
        label = label._replace(settings=label.settings.with_market(market, edition))
    return sheet(_context(label), enacted)


def outline(text: str, path: str = "-", settings: Settings | None = None) -> Outline:
    """Returns what was understood of a label: entries, guarantees, promises, statements."""
    from panellint.analysis.outline import outline as understood

    return understood(_context(Label(text, path, settings), quick=True))


def shares(
    text: str,
    path: str = "-",
    premises: Sequence[str] | None = None,
    settings: Settings | None = None,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
) -> Shares:
    """Returns the least and the most of each ingredient (percent of the mix), the families, and
    whether the name keeps its promises.

    `premises` names those to take; None takes the usual ones. `progress` is called with the
    number of ingredients that are done, and of all. Raises PanellintError for an unknown premise.
    """
    from panellint.analysis.shares_report import shares as proven

    names = None if premises is None else tuple(premises)
    return proven(_context(Label(text, path, settings)), names, progress)


def certificate(
    text: str,
    path: str = "-",
    premises: Sequence[str] | None = None,
    settings: Settings | None = None,
) -> Certificate:
    """Returns the proof of every bound and verdict of `shares`: rows and multipliers, as fractions
    in words. Raises PanellintError for an unknown premise."""
    from panellint.analysis.shares_report import certificate as proven

    names = None if premises is None else tuple(premises)
    return proven(_context(Label(text, path, settings)), names)


def nutrition(text: str, path: str = "-", settings: Settings | None = None) -> Nutrition:
    """Returns a food as fed, on dry matter and per 1000 kcal, with ranges, energy and profile."""
    from panellint.analysis.assessed import assessed_of
    from panellint.analysis.likely_answers import helpful_questions, likely_parts

    context = _context(Label(text, path, settings))
    return {
        "path": path,
        "name": context.label.product_name or None,
        **assessed_of(context),
        "likely": likely_parts(context),
        "questions": helpful_questions(context),
    }


# Several labels -------------------------------------------------------------------------------


def compare(
    labels: Iterable[Label],
    basis: str = "dry matter",
    sort_by: str = "protein",
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
) -> Comparison:
    """Returns foods on one basis, sorted, with what 1000 kcal cost where price and net weight
    are printed.

    `basis` is as fed, dry matter, per 1000 kcal or energy share. With `body_weight` (kg) the
    portions and costs of a day are added, for an animal of that species (None: the labels' own)
    and way of life. Raises PanellintError for an unknown basis or order, or where the species is
    not settled.
    """
    from panellint.core.errors import NotComputable, PanellintError
    from panellint.tasks.animal import needs_of
    from panellint.tasks.compare import compare as compared
    from panellint.tasks.food import food_of

    foods = [food_of(_context(label)) for label in labels]
    stated = [food.statement.facts.species for food in foods]
    needs = needs_of(body_weight, species, life, stated)
    try:
        return compared(foods, basis=basis, sort_by=sort_by, needs=needs)
    except NotComputable as fault:
        raise PanellintError(fault.reason) from None


def plan(
    labels: Iterable[Label],
    body_weight: float,
    parts: Sequence[str] = (),
    species: str | None = None,
    life: str = "adult",
    aim: str = "keep",
    target_weight: float | None = None,
) -> Plan:
    """Returns a day's bowl for an animal of a body weight (kg): amounts, cost, what the bowl is.

    `parts` says what is asked of each label ("half", "1 tablespoon", "rest"); without it each
    gives an even share of the energy. `aim` is keep, lose or gain, to reach `target_weight` (kg).
    Raises PanellintError where a part is not understood, an energy is not known, or the animal is
    not settled.
    """
    from panellint.tasks.animal import need_of, species_of
    from panellint.tasks.plan import Animal
    from panellint.tasks.plan import plan as planned

    contexts = [_context(label, quick=True) for label in labels]
    kind = species_of(species, [context.species for context in contexts])
    need = need_of(body_weight, kind, life, (), aim, target_weight)
    assert need is not None  # a body weight is given
    return planned(contexts, parts, Animal(kind, body_weight, life, aim, target_weight), need)


def blend(
    base: Label,
    added: Label | str,
    target: str,
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
    settings: Settings | None = None,
) -> Blend:
    """Returns how much of one food to add to another so that the bowl meets a target, and what
    the bowl then is.

    `added` is a label, or the name of an ingredient of the catalogue, read under `settings`.
    `target` reads such as "carbohydrate at most 12 % of the energy". Raises PanellintError where
    the target is not understood, a figure is missing, or no such ingredient is known.
    """
    from panellint.core.errors import NotComputable, PanellintError
    from panellint.tasks.animal import need_of
    from panellint.tasks.blend import blend as blended
    from panellint.tasks.blend import portion_of_known, portion_of_label, read_target
    from panellint.tasks.ingredient import entry_of

    try:
        first, kind = portion_of_label(_context(base))
        kinds = [kind]
        if isinstance(added, Label):
            second, kind = portion_of_label(_context(added))
            kinds.append(kind)
        else:
            second = portion_of_known(entry_of(added, settings or _settings(".")), added)
        need = need_of(body_weight, species, life, kinds)
        return blended(first, second, read_target(target), need=need)
    except NotComputable as fault:
        raise PanellintError(fault.reason) from None


def report(
    labels: Iterable[Label],
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
    progress: Callable[[], None] = lambda: None,
    kind: str | None = None,
) -> Report:
    """Returns the report of one food or of several, block by block.

    `kind` is sheet (the owner's page of one food), full (its long reading), range (foods side by
    side on one page) or slides; None is the sheet of one food and the range of several.
    `progress` is called when a label is read. See `compare` for the animal. Raises PanellintError
    where the kind is for one food alone.
    """
    from panellint.output.document import to_dict
    from panellint.report.blocks import flat

    blocks = report_blocks(labels, body_weight, species, life, progress, kind)
    return {"blocks": list(map(to_dict, flat(blocks)))}


def report_blocks(
    labels: Iterable[Label],
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
    progress: Callable[[], None] = lambda: None,
    kind: str | None = None,
) -> Iterator[Block]:
    """Returns the same as the blocks that the page, Markdown and text are made of."""
    from datetime import date

    from panellint.report.kinds import chosen, document

    named = list(labels)

    def read() -> Iterator[LabelContext]:
        for label in named:
            yield _context(label)
            progress()

    kind = chosen(kind, len(named))
    return document(read(), date.today(), kind, body_weight, species, life)


def changes(old: Label, new: Label) -> LabelChanges:
    """Returns what a new version of a label changed, in terms of the trade."""
    from panellint.tasks.changes import changes as compared
    from panellint.tasks.changes import to_dict

    return to_dict(compared(_context(old), _context(new)))


def trace(
    name: str, paths: Iterable[str], supplier: str = "", lot: str = "", market: str | None = None
) -> Trace:
    """Returns every label and sheet among `paths` that an ingredient reaches, under every name
    and inside premixes; `*` stands for any ingredient of the lot or supplier."""
    from panellint.catalogue import load
    from panellint.rulepacks.settings import Settings
    from panellint.tasks.trace import trace as traced
    from panellint.tasks.trace_query import TraceQuery

    query = TraceQuery(name, load(Settings.for_path(".").ingredients))
    return traced(query, paths, supplier=supplier, lot=lot, market=market)


# Batch sheets ---------------------------------------------------------------------------------


def reconcile(
    text: str,
    batch: str | Path | Batch | None = None,
    path: str = "-",
    settings: Settings | None = None,
) -> Reconciliation:
    """Returns the findings of a label against its batch sheet, and what the batch comes to.

    Without `batch`, the sheet that the panel file names. Raises InputError where there is none.
    """
    from panellint.core.source import Source
    from panellint.maker.context import with_batch
    from panellint.maker.reconcile import reconcile as compared
    from panellint.maker.reconcile import to_dict
    from panellint.maker.sheet.locate import sheet_of

    source = Source(text, path)
    sheet = sheet_of(source) if batch is None else _batch(batch)
    context = with_batch(source, sheet, settings)
    return to_dict(context, compared(context))


def declare(
    batch: str | Path | Batch,
    name: str = "",
    species: str = "",
    food_form: str = "",
    stage: str = "",
    unit: str = "",
    complete: bool = False,
    moisture: float | None = None,
    finished: float | None = None,
    margin: float = 1.0,
    worst: bool = False,
    percentages: str = "",
    path: str = "-",
    settings: Settings | None = None,
    force: bool = False,
) -> Declaration:
    """Returns the panel file that a batch sheet supports, with the names that it earns.

    Words that are not given are taken from the sheet. `moisture` is that of the finished food,
    `finished` its weight, percent of the mix. `margin` multiplies the usual safety margins;
    `worst` guarantees at the ends of the composition ranges. `percentages` is named, all, none
    or "" for what the market wants; `path` names the panel file; `force` writes a label that the
    batch does not bear. Raises PanellintError where the species or the finished weight is not
    known.
    """
    from panellint.maker.declare import Product
    from panellint.maker.declare import declare as declared
    from panellint.maker.water import with_water

    sheet = with_water(_batch(batch), moisture, finished)
    product = Product(name, species, food_form, stage, unit, complete)
    return declared(
        sheet,
        product,
        settings or _settings(sheet.path),
        margin=margin,
        worst=worst,
        percentages=percentages,
        path=path,
        force=force,
    ).to_dict()


def reformulate(
    batch: str | Path | Batch,
    name: str = "",
    targets: Sequence[str] = (),
    limits: Sequence[str] = (),
    hold: Sequence[str] = (),
    species: str = "",
    moisture: float | None = None,
    finished: float | None = None,
    worst: bool = False,
    settings: Settings | None = None,
    cheapest: bool = False,
) -> Reformulation:
    """Returns the least change of weights that keeps the promise of `name` and meets `targets`
    ("protein >= 26 %").

    `limits` read such as "duck=20..50" (percent of the mix); `hold` names lines that stay. For
    `moisture` and `finished` see `declare`; `cheapest` looks for the least cost. Raises
    PanellintError where one of them is not understood.
    """
    from panellint.maker.reformulate import read_target
    from panellint.maker.reformulate import reformulate as solved
    from panellint.maker.water import with_water

    sheet = with_water(_batch(batch), moisture, finished)
    return solved(
        sheet,
        settings or _settings(sheet.path),
        name=name,
        targets=[read_target(one) for one in targets],
        limits=limits,
        hold=hold,
        species=species,
        worst=worst,
        cheapest=cheapest,
    )


def release(
    paths: Iterable[str],
    fail_at: str | None = None,
    since: str | None = None,
    with_weights: bool = False,
    progress: Callable[[], None] = lambda: None,
) -> Release:
    """Returns which labels may go to print with their batch sheets, and why others may not.

    `fail_at` is the mildest severity that keeps one from print (by default that of the settings, or
    "never"), `since` a git revision. Raises PanellintError where the revision cannot be used.
    """
    from panellint.core.findings import Severity
    from panellint.tasks.release import release as judged
    from panellint.tasks.release.gate import Gate

    least = Severity(fail_at) if fail_at and fail_at != "never" else None
    return judged(paths, Gate(least, since, with_weights, fail_at == "never"), progress=progress)


# Knowledge ------------------------------------------------------------------------------------


def ingredient(
    name: str, language: str | None = None, settings: Settings | None = None
) -> IngredientEntry:
    """Returns what the catalogue knows of an ingredient, with the source of every figure.

    Raises UnknownIngredient, with the nearest names.
    """
    from panellint.tasks.ingredient import ingredient as known

    return known(name, settings or _settings("."), language)


def rules(settings: Settings | None = None) -> list[RuleRow]:
    """Returns one row for each rule."""
    from panellint.rulepacks.docs import listing

    return listing((settings or _settings(".")).rules.values())


def rule(id: str, settings: Settings | None = None) -> RuleData:
    """Returns one rule with its reasons, its source and its examples.

    Raises PanellintError, with the nearest id, where there is none of that id.
    """
    from panellint.rulepacks.docs import rule_of, to_dict

    return to_dict(rule_of((settings or _settings(".")).rules, id))


def _settings(path: str | Path) -> Settings:
    from panellint.rulepacks.settings import Settings

    return Settings.for_path(path)


def _batch(batch: str | Path | Batch) -> Batch:
    from panellint.maker.batch import read_batch

    return read_batch(batch) if isinstance(batch, str | Path) else batch


def _context(label: Label, *, quick: bool = False) -> LabelContext:
    from panellint.analysis.context import LabelContext
    from panellint.core.source import Source

    settings = label.settings or _settings(label.path)
    return LabelContext.of(Source(label.text, label.path), settings, quick=quick)
