"""What the server tells of the words under the pointer: the findings that mark them, an
ingredient, a promise of the product's name."""

import re
from collections.abc import Iterator, Sequence

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_share
from panellint.analysis.list_position import standing
from panellint.analysis.shares_report import promises
from panellint.catalogue.model import PARTS, CatalogueEntry
from panellint.core.findings import Finding
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Promise
from panellint.results.shares import ConditionData, JudgedPromise
from panellint.rulepacks.data import data

#: Longer proofs are for `panellint shares`, more findings for `panellint lint`, more sources for
#: `panellint ingredient`.
_MOST_SENTENCES = 6
_MOST_FINDINGS = 3
_MOST_SOURCES = 2
#: A list of the rows of a table, which a hover counts.
_ROWS = re.compile(r"\d{5}(?:, \d{5})+")


def hover(
    context: LabelContext, offset: int, findings: Sequence[Finding] = ()
) -> tuple[str, Span] | None:
    """Returns markdown about what stands at an offset, and the words that it is about: the
    findings that mark it, then what it is. None where there is nothing to tell."""
    marking = sorted(
        (
            row
            for row in findings
            if row.span.start <= offset < max(row.span.end, row.span.start + 1)
        ),
        key=lambda row: (row.severity.rank, row.span.end - row.span.start),
    )
    parts = [_finding(context, finding) for finding in marking[:_MOST_FINDINGS]]
    if len(marking) > _MOST_FINDINGS:
        parts.append(f"{len(marking) - _MOST_FINDINGS} more stand here; `panellint lint` has all.")
    spans = [finding.span for finding in marking]
    if (about := _about(context, offset)) is not None:
        parts.append(about[0])
        spans.append(about[1])
    if not parts:
        return None
    return "\n\n---\n\n".join(parts), min(spans, key=lambda span: span.end - span.start)


def _finding(context: LabelContext, finding: Finding) -> str:
    """Returns a finding in full: how sure it is, its reason, its proof, its source."""
    page = context.settings.page_of(finding.rule)
    rule = f"[{finding.rule}]({page})" if page else f"`{finding.rule}`"
    parts = [f"**{finding.severity}**, {finding.certainty}: {_plain(finding.message)}"]
    if finding.because:
        parts.append(f"*Why:* {_plain(finding.because)}")
    if finding.proof:
        steps = "\n".join(f"- {_plain(step)}" for step in finding.proof[:_MOST_SENTENCES])
        parts.append(f"*Shown by:*\n\n{steps}")
    source = f"*Source:* {_plain(finding.source.rstrip('.'))}; " if finding.source else ""
    parts.append(f"{source}rule {rule}.")
    return "\n\n".join(parts)


def _about(context: LabelContext, offset: int) -> tuple[str, Span] | None:
    """Returns what an ingredient or the product's name is, with the words that it is about."""
    name = context.label.product_name_span
    if name.start <= offset < name.end:
        words = [*_promises(context, offset)]
        return ("\n\n".join(words), name) if words else None
    at = [
        entry
        for entry in context.declaration.walk()
        if entry.name_span.start <= offset < max(entry.name_span.end, entry.name_span.start + 1)
    ]
    if not at:
        return None
    entry = min(at, key=lambda ingredient: ingredient.name_span.end - ingredient.name_span.start)
    return "\n\n".join(_ingredient(context, entry)), entry.name_span


def _ingredient(context: LabelContext, entry: Ingredient) -> Iterator[str]:
    if entry.match is None:
        yield f"**{_plain(entry.name)}**: {_unknown(context, entry)}"
        yield from _share(context, entry)
        return
    known = entry.match.known
    what = [known.kind.replace("-", " "), known.origin, known.species, known.state]
    name = known.names[0]
    as_is = f", taken as {name}" if name.casefold() != entry.name.casefold() else ""
    yield f"**{_plain(entry.name)}**{as_is}: {', '.join(dict.fromkeys(filter(None, what)))}."
    yield from _share(context, entry)
    yield from _dangers(context, known)
    if entry.members:
        names = listed(_plain(member.name) for member in entry.members)
        yield f"{'Holds, among other things,' if entry.partial else 'Holds'} {names}."
    yield from _composition(known)
    if known.supplies:
        yield f"Supplies {listed(known.supplies)}."
    for note in known.notes[:2]:
        yield _plain(note)


def _unknown(context: LabelContext, entry: Ingredient) -> str:
    if entry.component or (entry.members and not entry.partial):
        return "a heading over its members."
    near = context.catalogue.suggest(entry.name, market=context.market, language=context.language)
    hint = f" Nearest names: {listed(near, 'or')}." if near else ""
    return f"a name that the catalogue does not know; anything may be in it.{hint}"


def _share(context: LabelContext, entry: Ingredient) -> Iterator[str]:
    stands = standing(context, entry)
    if stands.bounds is None:
        yield f"{stands.place}. No formula fits this label, so nothing is known of its share."
        return
    how = " (by order alone)" if context.quick else ""
    yield f"{stands.place}; {stands.share} of the mix{how}."
    if (likely := likely_share(context, {entry.path: 1})) is not None:
        low, high = number(likely["low"]), number(likely["high"])
        yield f"Likely {low} to {high} %: nine of ten foods with such a label."
    proof = stands.bounds.high_proof.sentences or stands.bounds.low_proof.sentences
    if proof:
        yield "\n".join(f"- {_plain(sentence)}" for sentence in proof[:_MOST_SENTENCES])


def _dangers(context: LabelContext, known: CatalogueEntry) -> Iterator[str]:
    for hazard in known.hazards:
        if hazard.level in ("error", "warning") and context.species in (None, hazard.species):
            what, source = _plain(hazard.what), _plain(hazard.source)
            yield f"**Hazard for {hazard.species}s**: {what} ({source})."


def _composition(known: CatalogueEntry) -> Iterator[str]:
    """Yields the six parts, with the sources that they come from."""
    parts = {part: known.figures[part] for part in PARTS if part in known.figures}
    if not parts:
        yield "No composition is known: any is reckoned with."
        return
    ends = {part: dict.fromkeys(map(number, figure.range)) for part, figure in parts.items()}
    words = (f"{part} {' to '.join(figures)}" for part, figures in ends.items())
    sources = list(
        dict.fromkeys(
            _ROWS.sub(lambda rows: f"{rows[0].count(',') + 1} rows", document)
            for figure in parts.values()
            for document in figure.source.split("; ")
        )
    )
    yield f"As added, in percent: {', '.join(words)}."
    more = len(sources) - _MOST_SOURCES
    tail = f"; {more} more are named by `panellint ingredient`" if more > 0 else ""
    memory = "" if all(figure.confirmed for figure in parts.values()) else "; some from memory"
    yield f"Source: {_plain('; '.join(sources[:_MOST_SOURCES]))}{tail}{memory}."


def _promises(context: LabelContext, offset: int) -> Iterator[str]:
    """Yields the promises under the pointer; all of the name where none is."""
    judged = {judged_promise["id"]: judged_promise for judged_promise in promises(context)}
    under = [here for here in context.promises if here.span.start <= offset < here.span.end]
    for promise in under or context.promises:
        yield "\n\n".join(_promise(context, promise, judged.get(promise.id)))


def _promise(
    context: LabelContext, promise: Promise, judged: JudgedPromise | None
) -> Iterator[str]:
    named = listed(named_entry.name for named_entry in promise.named)
    about = f", about {_plain(named)}" if named else ""
    yield f"**{_plain(promise.text)}** promises by the tier “{promise.tier}”{about}."
    if judged is None:
        yield "No rule of this market gives a share for it, or what it names is not declared."
        return
    rule = context.settings.rules[judged["rule"]]
    yield f"{_plain(rule.title)} (`{rule.id}`; {_plain(str(rule.source))})."
    yield "\n".join(_condition(condition) for condition in judged["conditions"])
    how = " (by order alone)" if context.quick and judged["verdict"] == "open" else ""
    yield data("words/reading")["promises"][judged["verdict"]]["words"] + how
    if judged["proof"]:
        yield "\n".join(f"- {_plain(words)}" for words in judged["proof"][:_MOST_SENTENCES])


def _condition(condition: ConditionData) -> str:
    bound = "at most" if condition["bound"] == "max" else "at least"
    base = condition["base"]
    base = "mix without processing water" if base.startswith("without") else base
    can_be = f"{number(condition['low'])} to {number(condition['high'])} %"
    needs = f"{bound} {number(condition['needs'])} % of the {base}"
    return f"- {_plain(condition['of'])}: {needs}; can be {can_be}"


def _plain(words: str) -> str:
    """Words of a label or a source, so that Markdown takes them as they are."""
    return "".join("\\" + char if char in "\\`*_{}[]<>#|" else char for char in words)
