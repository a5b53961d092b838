"""How far each line may move: what sheet and user say, and what is usual of small ingredients."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from panellint.catalogue import load
from panellint.catalogue.model import CatalogueEntry
from panellint.core.errors import PanellintError
from panellint.core.numbers import number, read_fraction
from panellint.core.phrases import listed, nearest
from panellint.core.text import name_key
from panellint.maker.component import WATER_KIND, names_of
from panellint.maker.formula import Formula
from panellint.maker.model import Batch, BatchLine
from panellint.maker.reformulate.program import LineLimits, TargetRow
from panellint.rulepacks.data import data

_LIMIT = re.compile(
    r"^(?P<name>.+?)\s*=\s*(?P<low>[\d.,]*)\s*(?:\.\.|-|–)\s*(?P<high>[\d.,]*)\s*%?$"
)


def limits_of(
    batch: Batch, given: Iterable[str] = (), held: Iterable[str] = ()
) -> tuple[LineLimits, ...]:
    """The limits of each line: the sheet's own, then what the user gives ("duck=20..50", in
    percent of the mix) and the lines that are to stay as they are.

    A limit of several lines of one name is one of their sum (`shared_rows`), and each may reach
    it. Raises PanellintError for a limit that is none or names no line.
    """
    limits = []
    for line in batch.lines:
        low = Fraction(0) if line.least is None else line.least
        high = Fraction(100) if line.most is None else line.most
        stated = line.least is not None or line.most is not None
        limits.append(LineLimits(low, high, f"the limit of {line.name}" if stated else ""))
    for places, low, high in _given(batch, given, limits):
        for at in places:
            words = f"the limit of {batch.lines[at].name}"
            limits[at] = LineLimits(low if len(places) == 1 else Fraction(0), high, words)
    for name in held:
        for at in _lines_called(batch, name):
            share = 100 * batch.share(batch.lines[at])
            limits[at] = LineLimits(share, share, f"{batch.lines[at].name} is held")
    return tuple(limits)


def _given(
    batch: Batch, given: Iterable[str], now: Sequence[LineLimits]
) -> Iterator[tuple[list[int], Fraction, Fraction]]:
    """The lines of each limit that the user gives, its least and its most."""
    for text in given:
        match = _LIMIT.match(text.strip())
        if match is None or not (match["low"] or match["high"]):
            raise PanellintError(f"`{text}` is no limit; it reads such as `duck=20..50`")
        places = _lines_called(batch, match["name"])
        low = _figure(match["low"], now[places[0]].low)
        high = _figure(match["high"], now[places[0]].high)
        if not 0 <= low <= high <= 100:
            raise PanellintError(f"`{text}`: the least is above the most, or above 100 %")
        yield places, low, high


def shared_rows(batch: Batch, given: Iterable[str]) -> Iterator[TargetRow]:
    """A limit of several lines of one name ("chicken", of two lots), as rows over their sum."""
    free = [LineLimits(Fraction(0), Fraction(100))] * len(batch.lines)
    for places, low, high in _given(batch, given, free):
        if len(places) < 2:
            continue
        names = listed(dict.fromkeys(batch.lines[at].name for at in places))
        within = [Fraction(at in places) for at in range(len(batch.lines))]
        ends = f"{number(float(low))} to {number(float(high))} %"
        words = f"the lines of {names} together {ends}"
        yield TargetRow(tuple(share - low / 100 for share in within), words)
        yield TargetRow(tuple(high / 100 - share for share in within), words)


def usual_limits(
    formula: Formula,
    limits: Sequence[LineLimits],
    market: str,
    species: str,
) -> tuple[LineLimits, ...]:
    """The limits, with those of practice for lines of which neither sheet nor user says one:
    premixes and salt stay as they are, added water is not more, and small ingredients keep to
    their customary levels, or to today's where that lies outside. No line passes what the law of
    the market allows of it."""
    batch = formula.batch
    kinds = {id(c.line): c.known for c in formula.components}
    food = Fraction(formula.finished_weight()).limit_denominator(10**6) or Fraction(1)
    usual = []
    for line, limit in zip(batch.lines, limits, strict=True):
        known, share = kinds.get(id(line)), 100 * batch.share(line)
        if not limit.words:
            limit = _customary(line, known, share) or limit
        for legal in data("data/minor")["legal"]:
            most = _legal(legal, line, known, share / food) if known else None
            wrong = market not in legal["markets"] or legal.get("species", species) != species
            if most is not None and not wrong and (most := food * most) < limit.high:
                doubt = "" if legal["confirmed"] else "; not confirmed"
                words = f"{line.name} as the law allows it ({legal['source']}{doubt})"
                limit = LineLimits(min(limit.low, most), most, words)
        usual.append(limit)
    return tuple(usual)


def _customary(line: BatchLine, known: CatalogueEntry | None, share: Fraction) -> LineLimits | None:
    """How far a line moves by itself; None for what makes up the food."""
    minor = data("data/minor")
    held, kinds = minor["held"], minor["kinds"]
    if known and known.kind == WATER_KIND:
        return LineLimits(Fraction(0), share, f"no more {line.name} than now")
    is_held = known and (
        known.kind in held["kinds"] or known.state in held["states"] or known.id in held["ids"]
    )
    if line.members or is_held:
        return LineLimits(share, share, f"{line.name} is held as it is")
    if known is None or known.kind not in kinds:
        return None
    ends = known.usual or kinds[known.kind]
    low, high = (Fraction(str(end)) for end in ends)
    usual = f"{number(float(low))} to {number(float(high))} % is customary"
    low = min(share, low) if share else Fraction(0)
    return LineLimits(low, max(share, high), f"{line.name}, of which {usual}")


def _legal(
    legal: Mapping[str, Any], line: BatchLine, known: CatalogueEntry, now: Fraction
) -> Fraction | None:
    """The most of an ingredient by a row of the law, in percent of the food; None where the row
    says nothing of it. Of a source of an element whose strength the maker does not give, that of
    the strongest, or what there is `now`."""
    if known.id in legal.get("ids", ()):
        return Fraction(str(legal["most"]))
    element = legal.get("supplies")
    strength = known.range_of(element) if element in known.supplies else None
    if element is None or strength is None or strength.high <= 0:
        return None
    own = line.analysis.get(element)
    most = 100 * Fraction(str(legal["mg_per_kg"])) / (own or Fraction(strength.high))
    return most if own else max(most, now)


def _figure(text: str, otherwise: Fraction) -> Fraction:
    if not text:
        return otherwise
    percent = read_fraction(text)
    if percent is None:
        raise PanellintError(f"`{text}` is no percentage")
    return percent


def _kinds(line: BatchLine) -> tuple[str, ...]:
    """The family and the kind of a line, as names."""
    match = load().lookup(line.name)
    names = (match.known.family, match.known.kind) if match else ()
    return tuple(name_key(name.replace("-", " ")) for name in names)


def _lines_called(batch: Batch, name: str) -> list[int]:
    """The lines of that name; where none has it, those that have it without their brackets, then
    those of that family or kind ("chicken", "muscle meat")."""
    wanted = name_key(name)
    lines = list(enumerate(batch.lines))
    places = [at for at, line in lines if name_key(line.name) == wanted]
    places = places or [at for at, line in lines if wanted in map(name_key, names_of(line))]
    places = places or [at for at, line in lines if wanted in _kinds(line)]
    if not places:
        near = nearest(name, [line.name for line in batch.lines])
        hint = f"; did you mean {near}?" if near else ""
        raise PanellintError(f"no line of {batch.path} is called {name!r}{hint}")
    return places
