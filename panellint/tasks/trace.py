"""Where a recalled ingredient has gone: labels and batches, under every name and inside others.

A label or sheet *contains* it where the catalogue takes a name for the same ingredient, where a
premix or composite lists it, or where a broth is cooked from it; it *may contain* it where a name
stands for many animals or plants (poultry, meat), where a premix shows no members, or where a
meal, fat or flavour of the same animal does not say from whose delivery it was made.
"""

import os
from collections.abc import Iterable, Iterator
from glob import has_magic, iglob

from panellint.analysis.context import LabelContext
from panellint.core.errors import InputError
from panellint.core.records import to_data
from panellint.core.source import Span, read
from panellint.core.text import name_key, one_line
from panellint.ingredients.mentions import mentions
from panellint.ingredients.model import Ingredient
from panellint.ingredients.resolve import joined_names
from panellint.lint.runner.files import Ignored, find
from panellint.maker.batch import read_batch
from panellint.maker.component import names_of
from panellint.maker.model import Batch
from panellint.maker.sheet.locate import INLINE, named_batch, root_of
from panellint.maker.sheet.read import is_sheet
from panellint.results.trace import ReachedPlace, Trace
from panellint.rulepacks.settings import Settings
from panellint.tasks.trace_query import ANYTHING, Level, TraceQuery

#: Faults of the text that may hide an ingredient.
_TEXT_FAULTS = frozenset(
    {"unclosed-bracket", "surplus-bracket", "mismatched-bracket", "odd-character"}
)

CAUTION = (
    "This is what labels and sheets say. A recall's reach is settled by the maker's own records "
    "and by the competent authority; what lists no lot is not cleared by it."
)


def _place(
    label: str,
    product: str,
    level: tuple[Level, str],
    printed: str,
    place: tuple[int, int],
    inside: tuple[str, ...] = (),
    sheet: str = "",
    **marks: str,
) -> ReachedPlace:
    """Returns one place that the ingredient reaches. `label` is "" for a sheet that no label names,
    `place` line and column, of a sheet row and column. `marks` are supplier, lot, code and date of
    the sheet, else lot and best-before date that the label prints for the food."""
    line, column = place
    usual = dict.fromkeys(("supplier", "lot", "code", "date"), "")
    return to_data(
        ReachedPlace,
        {**usual, **marks},
        label=label,
        product=product,
        level=level[0],
        printed=printed,
        why=level[1],
        inside=inside,
        sheet=sheet,
        line=line,
        column=column,
        lot_known=bool(marks.get("lot")),
    )


def trace(query: TraceQuery, paths: Iterable[str], *, market: str | None = None) -> Trace:
    """Returns every place that the ingredient reaches: the object of `trace --format json`.

    `paths` are panel files, folders, globs and batch sheets (CSV, XLSX); the sheets that labels
    name are read too. A file that cannot be used stands in `unusable` and keeps none of the others
    back.
    """
    arguments = list(paths)
    search = find([path for path in arguments if not is_sheet(path)], Ignored())
    faults = list(search.faults)
    hits: list[ReachedPlace] = []
    unread: list[str] = []
    blind: set[str] = set()
    for path in search.paths:
        try:
            context = _context(path, market)
            hits += trace_label(query, context)
            unread += (f"{path}{words}" for words in unread_of(context))
            if not context.declaration.ingredients:
                blind.add(path)
        except InputError as error:
            faults += error.faults
    sheets = [sheet for path in arguments if is_sheet(path) for sheet in _matching(path)]
    for path in sheets:
        try:
            hits += trace_sheet(query, path)
        except InputError as error:
            faults += error.faults
    if not hits and not query.is_known:
        raise query.unknown()
    reached = {hit["label"] or hit["sheet"] for hit in hits}
    apart = reached | blind | {fault.path for fault in faults}
    return {
        "name": query.name,
        "known_as": query.known_as,
        "reached": in_order(hits),
        "not_reached": [path for path in (*search.paths, *sheets) if path not in apart],
        "unread": unread,
        "unusable": [str(fault) for fault in dict.fromkeys(faults)],
        "caution": CAUTION,
    }


def unread_of(context: LabelContext) -> Iterator[str]:
    """Yields what of a label could not be searched for a name: `:line:column: words`."""
    if not context.declaration.ingredients:
        yield ": no ingredient list could be read; it is neither reached nor cleared"
    for entry in context.leaves:
        if entry.match is None:
            line, column = context.source.position(entry.name_span.start)
            yield f":{line}:{column}: `{entry.name}` is not known; its letters alone were compared"
    for stretch in context.label.ledger.unread:
        line, column = context.source.position(stretch.span.start)
        yield f":{line}:{column}: “{one_line(context.source.slice(stretch.span))}” was not read"
    for fault in context.text_faults:
        if fault.kind in _TEXT_FAULTS:
            line, column = context.source.position(fault.span.start)
            yield f":{line}:{column}: the list is at fault here ({fault.kind.replace('-', ' ')})"


def _context(path: str, market: str | None = None) -> LabelContext:
    """Returns the label of a panel file. Raises InputError where it cannot be read."""
    return LabelContext.of(read(path), Settings.for_path(path).with_market(market), quick=True)


def _matching(path: str) -> list[str]:
    """Returns the sheets of a glob, or the path itself."""
    named = os.path.exists(path) or not has_magic(path)
    return [path] if named else sorted(iglob(path, recursive=True)) or [path]


def trace_label(sought: TraceQuery, context: LabelContext) -> Iterator[ReachedPlace]:
    """Where the ingredient is in a label and in the batch sheet that it names.

    Where a supplier or a lot is asked for, a label without a sheet stays, its lot unknown. Raises
    InputError where the sheet cannot be used.
    """
    path = context.source.path
    fact = context.label.facts.get("batch-sheet")
    batch = named_batch(context.source, fact) if fact else None
    if sought.name != ANYTHING and not (batch and (sought.supplier or sought.lot)):
        yield from _on_label(sought, context, path)
    if batch is None:
        return
    written_out = fact is not None and fact[0].lstrip().startswith(INLINE)
    sheet = "" if written_out else batch.path
    yield from _in_sheet(sought, batch, path, context.label.product_name, sheet)


def _on_label(sought: TraceQuery, context: LabelContext, path: str) -> Iterator[ReachedPlace]:
    label = context.label
    names = {entry.path: entry.name for entry in context.declaration.walk()}
    lot, date = (_printed_mark(context, kind) for kind in ("lot", "best-before"))

    def hit(
        level: tuple[Level, str], printed: str, start: int, inside: tuple[str, ...] = ()
    ) -> ReachedPlace:
        place = context.source.position(start)
        return _place(path, label.product_name, level, printed, place, inside, lot=lot, date=date)

    sure = False
    for entry in context.declaration.walk():
        inside = tuple(names[entry.path[:depth]] for depth in range(1, len(entry.path)))
        level = sought.level(
            entry.name,
            entry.match.known if entry.match else None,
            not entry.members or entry.partial,
        )
        if level is None or level[0] is Level.MAY:
            note = _in_notes(sought, entry)
            level = (Level.CONTAINS, f"stated as “{note}”") if note else level
        if level is not None:
            sure = sure or level[0] is Level.CONTAINS
            yield hit(level, entry.name, entry.name_span.start, inside)
    for additive in (*label.additives, *label.actives):
        match = context.lookup(additive.printed)
        level = sought.level(additive.printed, match.known if match else None, False)
        if level is not None:
            sure = sure or level[0] is Level.CONTAINS
            heading = "additives" if additive in label.additives else "active ingredients"
            yield hit(level, additive.printed, additive.span.start, (heading,))
    if not sure:
        for name, start in _outside_the_list(sought, context):
            words = "the label speaks of it outside the list"
            yield hit((Level.MAY, words), name, start)


def _printed_mark(context: LabelContext, kind: str) -> str:
    """Returns the lot or date that a label prints; "" where it says where to look for it."""
    lines = (
        section.text.partition("\n")[0].partition(". ")[0] for section in context.sections_of(kind)
    )
    return next((one_line(line) for line in lines if any(map(str.isdigit, line))), "")


def _outside_the_list(sought: TraceQuery, context: LabelContext) -> Iterator[tuple[str, int]]:
    """Yields where the product's name, text that is no list, and what was not read speak of the
    ingredient."""
    label = context.label
    places = [label.product_name_span, *(section.body for section in label.sections_of("other"))]
    places += [stretch.span for stretch in label.ledger.unread]
    if not context.declaration.ingredients:
        places = [Span(0, len(context.source.text))]
    for place in places:
        for mention in mentions(context.source.text, context.lookup, place.start, place.end):
            level = sought.level(mention.name, mention.match.known, False)
            if level and level[0] is Level.CONTAINS:
                yield context.source.slice(mention.span), mention.span.start
                return


def _in_notes(sought: TraceQuery, entry: Ingredient) -> str | None:
    """A bracket that says where something is from ("source of ...", "preserved with ...")."""
    wanted = [f" {name_key(name)} " for name in sought.names if len(name) > 2]
    for note in entry.notes:
        text = f" {name_key(note)} "
        if any(name in text for name in wanted):
            return note
    return None


def trace_sheet(sought: TraceQuery, path: str) -> Iterator[ReachedPlace]:
    """Where the ingredient is in a batch sheet by itself. Raises InputError."""
    batch = read_batch(path, root_of(path))
    product = batch.facts.get("product_name", "")
    yield from _in_sheet(sought, batch, "", product, path)


def _in_sheet(
    sought: TraceQuery, batch: Batch, label: str, product: str, sheet: str
) -> Iterator[ReachedPlace]:
    for line, inside in batch.walk():
        if not line.weight or sought.is_of_another(line.supplier, line.lot):
            continue
        names = [(name, sought.catalogue.lookup(name)) for name in names_of(line)]
        if not any(match for _, match in names):
            names += [
                (ingredient.name, ingredient.match)
                for ingredient in joined_names(line.name, sought.catalogue)
            ]
        level: tuple[Level, str] | None = None
        if line.code and name_key(line.code) == sought.key:
            level = Level.CONTAINS, f"by its code {line.code}"
        for name, match in names if level is None else ():
            here = sought.level(name, match.known if match else None, not line.members)
            if level is None or (here and here[0] is Level.CONTAINS):
                level = here or level
        if level:
            marks = {key: getattr(line, key) for key in ("supplier", "lot", "code", "date")}
            place = (line.place.row, line.place.column)
            yield _place(label, product, level, line.name, place, inside, sheet, **marks)


def in_order(hits: Iterable[ReachedPlace]) -> list[ReachedPlace]:
    """By label, what contains it first, then by place; each once."""
    return sorted(
        {repr(hit): hit for hit in hits}.values(),
        key=lambda hit: (
            os.path.normpath(hit["label"] or hit["sheet"] or ""),
            hit["level"] == Level.MAY,
            hit["sheet"] or "",
            hit["line"],
            hit["column"],
        ),
    )
