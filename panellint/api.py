"""The answers of the commands as plain data, for notebooks and other programs.

Each function returns the object that its command prints with `--format json` for one file, less the
`version` of its shape; the types of these objects are in `panellint.results`. A label is given as
its text, with a path that names it; without `settings`, those that reach that path apply. A batch
sheet is given by its path, or as it was read. PanellintError is raised where there is no answer,
and its kind InputError where a settings file, a pack or a sheet is faulty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.maker.model import Batch
    from panellint.results.batch import Declaration, Reconciliation, Reformulation
    from panellint.results.changes import LabelChanges
    from panellint.results.findings import LintedFile
    from panellint.results.foods import Blend, Comparison, Plan
    from panellint.results.ingredient import IngredientEntry
    from panellint.results.nutrition import Nutrition
    from panellint.results.outline import Outline
    from panellint.results.release import Release
    from panellint.results.report import Report
    from panellint.results.requirements import RequirementSheet
    from panellint.results.rules import RuleData, RuleRow
    from panellint.results.shares import Certificate, Shares
    from panellint.results.trace import Trace
    from panellint.rulepacks.settings import Settings

__all__ = ["Label", "blend", "certificate", "changes", "compare", "declare", "ingredient",
           "lint", "nutrition", "outline", "plan", "reconcile", "reformulate", "release",
           "report", "requirements", "rule", "rules", "shares", "trace"]  # fmt: skip


class Label(NamedTuple):
    """The text of one label, the path that names it, and the settings that apply to it (None:
    those that reach the path)."""

    text: str
    path: str = "-"
    settings: Settings | None = None

    def context(self, *, quick: bool = False) -> LabelContext:
        """Returns the label with all that is known of it; `quick` goes without the solver."""
        from panellint.analysis.context import LabelContext
        from panellint.core.source import Source

        return LabelContext.of(Source(self.text, self.path), self.settings, quick=quick)


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
    language: str = "en",
) -> RequirementSheet:
    """Returns what the market asks of a label, each requirement in one state, with its clause.

    `edition` is that of the market's text; None takes that of the `state`, else the label's own. A
    state of the US gives the clauses of its own text. `language` is that of the requirements' words
    (en; EU and UK also de, fr, it, es, nl). Raises InputError for an edition, a state or a language
    that is not known, PanellintError for a state where the market is another.
    """
    from panellint.tasks.requirements import sheet

    return sheet(Label(text, path, settings).context(), edition, state, language)


def outline(text: str, path: str = "-", settings: Settings | None = None) -> Outline:
    """Returns what was understood of a label: entries, guarantees, promises, statements."""
    from panellint.analysis.outline import outline as understood

    return understood(Label(text, path, settings).context(quick=True))


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

    return proven(Label(text, path, settings).context(), premises, progress)


def certificate(
    text: str,
    path: str = "-",
    premises: Sequence[str] | None = None,
    settings: Settings | None = None,
) -> Certificate:
    """Returns the proof of every bound and verdict of `shares`: rows and multipliers, as fractions
    in words. Raises PanellintError for an unknown premise."""
    from panellint.analysis.shares_report import certificate as proven

    return proven(Label(text, path, settings).context(), premises)


def nutrition(text: str, path: str = "-", settings: Settings | None = None) -> Nutrition:
    """Returns a food as fed, on dry matter and per 1000 kcal, with ranges, energy and profile."""
    from panellint.analysis.likely_answers import nutrition as worked_out

    return worked_out(Label(text, path, settings).context())


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
    from panellint.tasks.animal import animal_of
    from panellint.tasks.compare import compare_labels

    contexts = [label.context() for label in labels]
    return compare_labels(contexts, basis, sort_by, animal_of(body_weight, species, life))


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
    Raises PanellintError where a part is not understood, the shares are over the whole, an energy
    is not known, or the animal is not settled.
    """
    from panellint.tasks import plan as task
    from panellint.tasks.animal import Animal

    animal = Animal(body_weight, life, aim, target_weight, species)
    return task.plan([label.context(quick=True) for label in labels], parts, animal)


def blend(
    base: Label,
    added: Label | str,
    target: str,
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
    settings: Settings | None = None,
) -> Blend:
    """Returns how much of one food to add to another to meet a target, and what the bowl then is.

    `added` is a label, or the name of an ingredient of the catalogue, read under `settings`.
    `target` reads such as "carbohydrate at most 12 % of the energy". Raises PanellintError where
    the target is not understood, a figure is missing, or no such ingredient is known.
    """
    from panellint.nutrition.targets import read_target
    from panellint.tasks import blend as task
    from panellint.tasks.animal import animal_of, need_of
    from panellint.tasks.ingredient import entry_of

    first, kind = task.portion_of_label(base.context())
    kinds = [kind]
    if isinstance(added, Label):
        second, kind = task.portion_of_label(added.context())
        kinds.append(kind)
    else:
        second = task.portion_of_known(entry_of(added, settings or _settings(".")), added)
    animal = animal_of(body_weight, species, life)
    need = need_of(animal, kinds) if animal else None
    return task.blend(first, second, read_target(target, task.PARTS_OF_TARGETS), need=need)


def report(
    labels: Iterable[Label],
    body_weight: float | None = None,
    species: str | None = None,
    life: str = "adult",
    progress: Callable[[], None] = lambda: None,
    kind: str | None = None,
) -> Report:
    """Returns the report of one food or of several, block by block.

    `kind` is sheet (the owner's page of one food), full (the long reading), range (foods side by
    side on one page) or slides; None is the sheet of one food and the range of several.
    `progress` is called with each label. A sheet of several raises PanellintError; see `compare`.
    """
    from panellint.output.document import to_dict
    from panellint.report.blocks import flat
    from panellint.report.kinds import chosen, document
    from panellint.tasks.animal import animal_of

    named = list(labels)
    kind = chosen(kind, len(named))
    animal = animal_of(body_weight, species, life)
    blocks = document(map(Label.context, named), kind, animal, progress)
    return {"blocks": list(map(to_dict, flat(blocks)))}


def changes(old: Label, new: Label) -> LabelChanges:
    """Returns what a new version of a label changed, in terms of the trade."""
    from panellint.tasks import changes as task

    return task.changes(old.context(), new.context())


def trace(
    name: str, paths: Iterable[str], supplier: str = "", lot: str = "", market: str | None = None
) -> Trace:
    """Returns every label and sheet among `paths` that an ingredient reaches, under every name
    and inside premixes; `*` stands for any ingredient of the lot or supplier."""
    from panellint.catalogue import load
    from panellint.tasks.trace import trace as traced
    from panellint.tasks.trace_query import TraceQuery

    query = TraceQuery(name, load(_settings(".").ingredients), supplier, lot)
    return traced(query, paths, market=market)


def reconcile(
    text: str,
    batch: str | Path | Batch | None = None,
    path: str = "-",
    settings: Settings | None = None,
) -> Reconciliation:
    """Returns the findings of a label against its batch sheet (without one, the sheet that the
    panel file names), and what the batch comes to. Raises InputError where there is none."""
    from panellint.core.source import Source
    from panellint.maker import reconcile as task
    from panellint.maker.context import with_batch
    from panellint.maker.sheet.locate import sheet_of

    source = Source(text, path)
    sheet = sheet_of(source) if batch is None else _batch(batch)
    context = with_batch(source, sheet, settings)
    return task.to_dict(context, task.reconcile(context))


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
    languages: str = "",
) -> Declaration:
    """Returns the panel file that a batch sheet supports, with the names that it earns.

    Words that are not given are taken from the sheet. `moisture` is that of the finished food,
    `finished` its weight, percent of the mix. `margin` multiplies the usual safety margins;
    `worst` guarantees at the ends of the composition ranges. `percentages` is named, all, none
    or "" for what the market wants; `path` names the panel file; `languages` ("de,fr") says the
    statements of a European label again. Raises PanellintError where the species or the finished
    weight is not known, and where the batch does not bear the name or the adequacy statement: with
    `force` the label is written with these findings in it, as notes.
    """
    from panellint.maker import declare as task

    sheet = _batch(batch, moisture, finished)
    product = task.Product(name, species, food_form, stage, unit, complete)
    own = settings or _settings(sheet.path)
    spoken = tuple(languages.replace(",", " ").split())
    label = task.declare(sheet, product, own, margin, worst, percentages, path, force, spoken)
    return label.to_dict()


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

    Premixes, salt and small ingredients keep to their customary levels (rules/data/minor.yaml),
    and what the profile asks of the stated stage is kept where it holds today; a limit that is
    given goes before. `limits` read such as "duck=20..50" (percent of the mix); `hold` names lines
    that stay. With `worst`, targets are met at the ends of the composition ranges; `cheapest` looks
    for the least cost. For `moisture` and `finished` see `declare`. Raises PanellintError where a
    name, a target or a limit cannot be judged.
    """
    from panellint.maker import reformulate as task

    sheet = _batch(batch, moisture, finished)
    wanted = list(map(task.read_target, targets))
    own = settings or _settings(sheet.path)
    return task.reformulate(sheet, own, name, wanted, limits, hold, species, worst, cheapest)


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
    from panellint.tasks import release as task

    least = Severity(fail_at) if fail_at and fail_at != "never" else None
    judge = task.Gate(least, since, with_weights, fail_at == "never")
    return task.release(paths, judge, progress=progress)


def ingredient(
    name: str, language: str | None = None, settings: Settings | None = None
) -> IngredientEntry:
    """Returns what the catalogue knows of an ingredient, with the source of every figure. Raises
    UnknownIngredient, with the nearest names."""
    from panellint.tasks.ingredient import ingredient as known

    return known(name, settings or _settings("."), language)


def rules(settings: Settings | None = None) -> list[RuleRow]:
    """Returns one row for each rule."""
    from panellint.rulepacks.docs import listing

    return listing((settings or _settings(".")).rules.values())


def rule(id: str, settings: Settings | None = None) -> RuleData:
    """Returns one rule with its reasons, its source and its examples. Raises PanellintError, with
    the nearest id, where there is none of that id."""
    from panellint.rulepacks.docs import rule_of, to_dict

    return to_dict(rule_of((settings or _settings(".")).rules, id))


def _settings(path: str | Path) -> Settings:
    from panellint.rulepacks.settings import Settings

    return Settings.for_path(path)


def _batch(
    batch: str | Path | Batch, moisture: float | None = None, finished: float | None = None
) -> Batch:
    from panellint.maker.batch import read_batch
    from panellint.maker.water import with_water

    sheet = read_batch(batch) if isinstance(batch, str | Path) else batch
    return with_water(sheet, moisture, finished)
