"""A reading as a plain run of blocks, for forms that know headings, lines, lists and tables.

Everything that the page tells stands here too, in the same order and the same words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from panellint.output.render_options import CAUTION
from panellint.report import lead
from panellint.report.model import Content, Figures, Nutrient, Proof, Reading, Said, Toward
from panellint.report.saying import capital, figure, spread
from panellint.report.words import SOURCES, firsts, point_groups, share_words

if TYPE_CHECKING:
    from panellint.report.several import Several


class Heading(NamedTuple):
    """A heading; 1 is that of the whole reading."""

    level: int
    words: str


class Line(NamedTuple):
    """A sentence or a few."""

    words: str


class Items(NamedTuple):
    """A list."""

    lines: tuple[str, ...]


class Table(NamedTuple):
    """A table; the columns `right` (from 0) hold figures."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


class Bar(NamedTuple):
    """One range on a scale from 0 to 100 %, with its words; `low` is None where there is none."""

    label: str
    low: float | None
    high: float | None
    estimate: float | None
    words: str


class Bars(NamedTuple):
    """Ranges under one another."""

    caption: str
    headings: tuple[str, str]
    bars: tuple[Bar, ...]


Block: TypeAlias = Heading | Line | Items | Table | Bars


def one(reading: Reading, day: str) -> Iterator[Block]:
    """The blocks of one food."""
    yield Heading(1, reading.name)
    yield Line(f"From {reading.file}, read on {day}.")
    yield Heading(2, "In short")
    yield Items(reading.short)
    yield Heading(2, lead.WHAT)
    facts = ((one.what, one.words, one.by) for one in reading.facts)
    yield Table("", ("", "", "By whose word"), tuple(facts))
    yield from _promises(reading)
    yield from _content(reading.content)
    yield from _figures(reading.figures)
    yield Heading(2, lead.STARCHES)
    if reading.starches:
        yield Line(lead.ON_STARCHES)
        rows = (
            (
                s.name,
                f"{s.does} ({s.why})" if s.why else s.does,
                s.binds_at or "–",
                s.glycaemic or "–",
            )
            for s in reading.starches
        )
        yield Table("", lead.STARCH_HEADINGS, tuple(rows))
    else:
        yield Line(lead.NO_STARCHES)
    yield Heading(2, lead.NUTRIENTS)
    if reading.nutrients:
        yield Line(lead.ON_NUTRIENTS)
        if reading.nutrients_note:
            yield Line(reading.nutrients_note)
        yield Items(tuple(words for _, words in SOURCES))
        yield _grid(reading.nutrients)
    else:
        yield Line(lead.NO_NUTRIENTS)
    if reading.cat:
        yield Heading(3, lead.CAT)
        yield _grid(reading.cat)
    yield Heading(2, lead.HAZARDS)
    yield Heading(3, "Hazards")
    yield from _points(reading.hazards, lead.NO_HAZARDS)
    yield Heading(3, "Doubtful words")
    yield from _points(reading.doubtful, lead.NO_DOUBT)
    yield from _toward(reading.toward, reading.toward_note)
    yield Heading(2, lead.points(reading))
    yield from _points(reading.findings, lead.NO_POINTS)
    if reading.waived:
        yield Heading(3, lead.WAIVED)
        yield from _points(reading.waived, "")
    yield from _sources(reading.sources)


def several(foods: Several, day: str) -> Iterator[Block]:
    """The blocks of several foods."""
    yield Heading(1, f"{len(foods.readings)} foods side by side")
    yield Line(f"Read on {day}. {lead.BY_NAME}")
    yield Heading(2, lead.TABLE)
    for words in (foods.shared, *(foods.wet_and_dry or (lead.WET_AND_DRY,))):
        if words:
            yield Line(words)
    for board in foods.boards:
        rows = tuple((line.name, *(cell.words for cell in line.cells)) for line in board.lines)
        headings = ("Food", *board.headings)
        right = tuple(range(1, len(headings)))
        yield Table(f"{capital(board.title)}. {board.caption}", headings, rows, right)
    yield Line(lead.ON_TABLE)
    for words in (foods.animal, *foods.notes):
        if words:
            yield Line(capital(words))
    yield Heading(2, lead.DIFFERENCES)
    if foods.differences:
        yield Items(foods.differences)
    else:
        yield Line(lead.ALIKE)
    yield Heading(2, lead.EACH)
    for reading in foods.readings:
        yield Heading(3, reading.name)
        yield Line(f"From {reading.file}.")
        yield Items(reading.short)
        for promise in reading.promises:
            yield Line(f"“{promise.text}”: {promise.verdict}. {promise.words}")
        if reading.content.rows:
            rows_ = firsts(reading.content.rows)
            bars = (
                Bar(f"{r.place} {r.name}, {r.what}", r.low, r.high, r.estimate, share_words(r))
                for r in rows_
            )
            yield Bars("The first entries of the list", lead.SHARE_HEADINGS, tuple(bars))
        for title, found in point_groups(reading):
            yield Heading(4, capital(title))
            yield from _points(found, "")
    yield from _sources(foods.sources)


def _promises(reading: Reading) -> Iterator[Block]:
    yield Heading(2, lead.NAME)
    for one in reading.promises:
        yield Heading(3, f"“{one.text}”: {one.verdict}")
        yield Line(f"{one.title}. {one.words}")
        yield Table(lead.ON_NEEDS, lead.NEED_HEADINGS, tuple(map(tuple, one.needs)))
        if one.proof:
            yield Items(one.proof)
        else:
            yield Line(lead.NO_PROOF)
        if one.rests_on:
            yield Line(one.rests_on)
        yield Line(f"Source: {one.source}.")
    if reading.promises_note:
        yield Line(reading.promises_note)


def _content(content: Content) -> Iterator[Block]:
    yield Heading(2, lead.LIST)
    if content.clash:
        yield Line(lead.CLASH)
        yield Items(content.clash)
    if not content.rows:
        yield Line(lead.NO_LIST)
        return
    yield Line(lead.ON_LIST)
    bars = []
    for row in content.rows:
        family = f"family {row.family}" if row.family else ""
        label = "; ".join(filter(None, (f"{row.name}", row.what, family, *row.said)))
        indent = "  " * row.depth
        bars.append(
            Bar(f"{indent}{row.place} {label}", row.low, row.high, row.estimate, share_words(row))
        )
    yield Bars(lead.ON_ROWS, lead.SHARE_HEADINGS, tuple(bars))
    for note in content.notes:
        yield Line(note)
    if content.sides:
        yield Heading(3, lead.SIDES)
        sides = (
            Bar(
                f"{capital(s.title)}: {', '.join(s.names)}",
                s.low,
                s.high,
                None,
                f"{s.words}; by custom {spread(*s.usual)}" if s.usual else s.words,
            )
            for s in content.sides
        )
        yield Bars(lead.ON_SIDES, lead.SIDE_HEADINGS, tuple(sides))
    if content.families:
        yield Heading(3, lead.FAMILIES)
        yield Line(lead.ON_FAMILIES)
        kin = (
            Bar(f"{k.mark}: {k.family} [{', '.join(k.members)}]", k.low, k.high, None, k.words)
            for k in content.families
        )
        yield Bars("", lead.FAMILY_HEADINGS, tuple(kin))
    if content.fresh:
        yield Heading(3, lead.FRESH)
        yield Line(lead.ON_FRESH)
        fresh: list[Bar] = []
        for meat in content.fresh:
            fresh.append(Bar(f"{meat.name} with its water", *meat.mixed, None, spread(*meat.mixed)))
            dry = f"{spread(*meat.dry)}. {meat.words}"
            fresh.append(Bar(f"{meat.name}, its dry matter alone", *meat.dry, None, dry))
        yield Bars("", lead.SHARE_HEADINGS, tuple(fresh))
    proven = [
        *((f"{row.place} {row.name}", row.proofs) for row in content.rows),
        *((capital(side.title), side.proofs) for side in content.sides),
    ]
    if any(proofs for _, proofs in proven):
        yield Heading(3, lead.PROOFS)
        yield from _proofs(proven)


def _proofs(found: Iterable[tuple[str, tuple[Proof, ...]]]) -> Iterator[Block]:
    for name, proofs in found:
        for proof in proofs:
            yield Line(f"{name}. {proof.claim}: {' '.join(proof.sentences)} {proof.rests_on}")


def _figures(figures: Figures) -> Iterator[Block]:
    yield Heading(2, lead.FIGURES)
    yield Line(lead.ON_BASES)
    rows = (
        (
            f"{p.id} (a usual figure, not printed)" if p.assumed else p.id,
            p.printed,
            *(figure(value) for value in (p.as_fed, p.dry_matter, p.per_1000_kcal, p.of_energy)),
        )
        for p in figures.parts
    )
    yield Table(lead.ON_PARTS, lead.PART_HEADINGS, tuple(rows), (1, 2, 3, 4, 5))
    yield Heading(3, "Carbohydrate")
    yield from map(Line, figures.carbohydrate)
    if figures.bands:
        bands = (
            Bar(b.words, b.low, b.high, None, f"{figure(b.low)} to {figure(b.high)} %")
            for b in figures.bands
        )
        yield Bars(lead.ON_BANDS, lead.BAND_HEADINGS, tuple(bands))
    yield Heading(3, "Energy")
    yield from map(Line, figures.energy)
    if figures.profile:
        yield Heading(3, lead.PROFILE)
        yield Line(f"{figures.profile}.")
        if figures.limits:
            limits = ((one.nutrient, one.limit, one.value, one.verdict) for one in figures.limits)
            yield Table(lead.ON_LIMITS, lead.limit_headings(figures), tuple(limits))
        yield from map(Line, figures.profile_notes)
    yield from map(Line, figures.notes)


def _grid(nutrients: Iterable[Nutrient]) -> Table:
    rows = ((one.name, one.source, ", ".join(one.names), one.note) for one in nutrients)
    return Table("", ("Nutrient", "Source", "From", "Note"), tuple(rows))


def _points(found: Iterable[Said], none_found: str) -> Iterator[Block]:
    points = list(found)
    if not points and none_found:
        yield Line(none_found)
    for one in points:
        quote = f": “{one.quote}”" if one.quote else ""
        yield Line(f"{capital(one.severity)}, {one.certainty}, {one.place}{quote}")
        lines = [one.message, one.because]
        lines += [f"What would settle it: {remedy}" for remedy in one.remedies]
        lines += [*one.proof, *(f"See {place}" for place in one.see), one.rests_on]
        lines.append(f"Source: {one.source or 'none'}. Rule: {one.rule}.")
        yield Items(tuple(filter(None, lines)))


def _toward(toward: Iterable[Toward], note: str) -> Iterator[Block]:
    yield Heading(2, lead.TARGET)
    yield Line(lead.ON_TARGET)
    for one in toward:
        yield Heading(3, capital(one.target))
        yield Line(f"{capital(one.whose)}.")
        if one.ways:
            rows = (
                (w.added, figure(w.per_kg, 0), figure(w.share), figure(w.of_energy), w.then)
                for w in one.ways
            )
            yield Table(lead.ON_WAYS, lead.WAY_HEADINGS, tuple(rows), (1, 2, 3))
        yield from map(Line, one.words)
    if note:
        yield Line(note)


def _sources(sources: tuple[str, ...]) -> Iterator[Block]:
    yield Heading(2, lead.SOURCES)
    yield Items(sources)
    yield Line(CAUTION)
