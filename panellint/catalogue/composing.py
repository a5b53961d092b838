"""Composes a catalogue entry from a listed source and the facts that a name states of it, and works
out the ranges of an ingredient in another state from its own.

Drying moves water alone, cooking loses drip, curing adds salt: each state of
`rules/ingredients/forms.yaml` says between which limits the water of the result lies, how much of
a part is kept and what may come to it. The ranges of the result are optima of a small program:
over all six parts at once, with the raw parts and the result summing to 100 within the error of
analyses, and never part by part (a lean meat of 15 to 24 % protein and 55 to 78 % water would
then be 105 % protein when dry).

A part's share of the solids is a ratio of two linear functions of the raw parts; its optimum is
found by Dinkelbach's method (Management Science 13 (1967) 492-498), each step a greedy filling of
a box whose sum is bounded.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import islice, product
from math import ceil, floor
from typing import Any, NamedTuple

from panellint.catalogue.model import PARTS, CatalogueEntry, Figure, Hazard, Range
from panellint.catalogue.name_parser import Organism, Parse, Phrase
from panellint.catalogue.rows import Figures

_SOLIDS = PARTS[1:]
#: The steps of Dinkelbach's method grow exact fast; a ratio of six terms needs a handful.
_STEPS = 40


def worked_out(entry: CatalogueEntry, state: Mapping[str, Any], error: float) -> dict[str, Figure]:
    """Returns the ranges of the six parts (percent as added) of an entry in a state; {} where a
    part of the entry is not known. `error` are the points by which parts may miss 100."""
    if any(part not in entry.figures for part in PARTS):
        return {}
    raw = {part: entry.figures[part].range for part in PARTS}
    ranges = state_ranges(raw, state, entry.kind, error)
    source = f"worked out from the ranges of {entry.names[0]}, {state['name']}"
    return {part: Figure(span, "%", source, False) for part, span in ranges.items()}


def widened(figure: Figure, sort: Figure, share: float) -> Figure:
    """Returns a range with both ends moved by a share of the way to those of a wider one."""
    (low, high), (least, most) = figure.range, sort.range
    span = Range(
        floor(10 * (low - share * max(0.0, low - least))) / 10,
        ceil(10 * (high + share * max(0.0, most - high))) / 10,
    )
    return Figure(span, figure.unit, f"{figure.source}; widened for another animal", False)


def state_ranges(
    raw: Mapping[str, Range], state: Mapping[str, Any], kind: str, error: float
) -> dict[str, Range]:
    """Returns the range of each part in a state, from the ranges of the raw parts (percent)."""
    moistures = state["moisture"]
    least_water, most_water = moistures.get(kind) or moistures["*"]
    kept: Mapping[str, Sequence[float]] = state["kept"]
    added: Mapping[str, float] = state["added"]
    low = [raw[part].low for part in _SOLIDS]
    # What a table gives by difference holds the errors of the rest.
    low[-1] = max(0.0, low[-1] - error)
    high = [raw[part].high for part in _SOLIDS]
    water = raw["moisture"]
    if not state["gains_water"]:
        most_water = max(least_water, min(most_water, water.high))
    total = (100 - error - water.high, 100 + error - water.low)
    ranges = {"moisture": Range(float(least_water), float(most_water))}
    for place, part in enumerate(_SOLIDS):
        ends = [kept.get(other, (1.0, 1.0)) for other in _SOLIDS]
        most = [end[1] if at == place else end[0] for at, end in enumerate(ends)]
        least = [end[0] if at == place else end[1] for at, end in enumerate(ends)]
        own = added.get(part, 0.0)
        others = sum(added.values()) - own
        largest = _extreme_share(place, most, low, high, total, 1)
        smallest = _extreme_share(place, least, low, high, total, -1)
        top = own + largest * max(0.0, 100 + error - least_water - own)
        bottom = smallest * max(0.0, 100 - error - most_water - others)
        ranges[part] = Range(floor(10 * max(0.0, bottom)) / 10, ceil(10 * min(100.0, top)) / 10)
    return ranges


def _extreme_share(
    place: int,
    weights: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    total: tuple[float, float],
    sign: int,
) -> float:
    """The most (sign 1) or the least (sign -1) that one weighted part can be of the weighted sum
    of all, 0 to 1."""
    share = 0.5 - 0.5 * sign
    for _ in range(_STEPS):
        gains = [sign * weight * ((at == place) - share) for at, weight in enumerate(weights)]
        parts = _filled(gains, low, high, total)
        whole = sum(weight * part for weight, part in zip(weights, parts, strict=True))
        if whole <= 0:
            return 0.5 + 0.5 * sign
        better = weights[place] * parts[place] / whole
        if sign * (better - share) <= 1e-12:
            break
        share = better
    return share


def _filled(
    gains: Sequence[float], low: Sequence[float], high: Sequence[float], total: tuple[float, float]
) -> list[float]:
    """The parts that gain most, each within its range and their sum within `total`; where no
    parts sum so, the sum is let go (the ranges of a table need not close)."""
    parts = [high[at] if gain > 0 else low[at] for at, gain in enumerate(gains)]
    least, most = total
    by_gain = sorted(range(len(gains)), key=lambda at: gains[at])
    excess = sum(parts) - most
    for at in by_gain:
        if excess <= 0:
            break
        cut = min(excess, parts[at] - low[at])
        parts[at] -= cut
        excess -= cut
    want = least - sum(parts)
    for at in reversed(by_gain):
        if want <= 0:
            break
        rise = min(want, high[at] - parts[at])
        parts[at] += rise
        want -= rise
    return parts


#: So many choices among the meanings of a name's phrases are tried.
_CHOICES = 64
#: The order in which facts are joined to a source, and the one that is tried next: a fat of
#: smoked fish, where smoking a fat means nothing.
_ORDERS = (
    {"part": 0, "product": 1, "state": 2, "qualifier": 3},
    {"part": 0, "state": 1, "product": 2, "qualifier": 3},
)


class Composed(NamedTuple):
    """What a name was composed to: the entry, its listed source, the facts joined to it from the
    innermost on, and the phrases that only qualify it, as printed."""

    entry: CatalogueEntry
    source: CatalogueEntry
    facts: tuple[Mapping[str, Any], ...]
    qualifiers: tuple[str, ...]


class Composer:
    """Joins facts to sources.

    `facts` are the rows of `rules/ingredients/forms.yaml` and of the qualifiers, compiled; `get`
    returns a listed entry by its id or None, `figures_of_sort` the ranges of a sort of material,
    and `also` what an entry's nutrients and hazards named by state are.
    """

    def __init__(
        self,
        data: Mapping[str, Any],
        get: Callable[[str], CatalogueEntry | None],
        figures_of_sort: Callable[[str], dict[str, Figure]],
        also: Callable[[str, str], tuple[str, ...]],
    ) -> None:
        self._facts: list[dict[str, Any]] = data["facts"]
        self._error: float = data["closes_within"]
        self._share: float = data["widened_by"]
        self._get = get
        self._figures_of_sort = figures_of_sort
        self._also = also

    def compose(self, parse: Parse) -> Composed | None:
        """Returns what a parse stands for; None where its facts do not go together."""
        source = self._get(parse.source)
        assert source is not None
        phrases = (*parse.before, *parse.after)
        for facts in self._choices(parse):
            for order in _ORDERS:
                entry = self._joined(source, facts, order)
                if entry is not None:
                    kept = tuple(
                        phrase.text
                        for phrase, fact in zip(phrases, facts, strict=True)
                        if fact["layer"] == "qualifier"
                    )
                    joined = _in_order(facts, order)
                    return Composed(
                        entry,
                        source,
                        tuple(fact for fact in joined if fact["layer"] != "qualifier"),
                        kept,
                    )
        return None

    def _choices(self, parse: Parse) -> Iterator[tuple[dict[str, Any], ...]]:
        """Yields one fact for each phrase, as printed."""
        phrases: tuple[Phrase, ...] = (*parse.before, *parse.after)
        meanings = [[self._facts[number] for number in phrase.facts] for phrase in phrases]
        split = len(parse.before)
        for facts in islice(product(*meanings), _CHOICES):
            # From the source outward: what stands behind it first.
            yield tuple(
                {**fact, "place": place - split if place >= split else 100 + split - place}
                for place, fact in enumerate(facts)
            )

    def _joined(
        self, entry: CatalogueEntry, facts: tuple[dict[str, Any], ...], order: Mapping[str, int]
    ) -> CatalogueEntry | None:
        for fact in _in_order(facts, order):
            joined = self.join(entry, fact)
            if joined is None:
                return None
            entry = joined
        return entry

    def join(self, entry: CatalogueEntry, fact: Mapping[str, Any]) -> CatalogueEntry | None:
        """Returns what an entry is with one more fact; None where the fact cannot be one of it."""
        if fact["of"] is not None and entry.kind not in fact["of"]:
            return None
        layer = fact["layer"]
        if layer == "qualifier":
            return entry
        if entry.id.rpartition("-")[2] in fact["but"]:
            return None
        worked = entry.state in fact["worked"]
        if layer == "state":
            if entry.state in fact["again"]:
                return entry
        elif worked and not fact["any_state"]:
            return None
        id = f"{entry.id}-{fact['slug']}" if fact["behind"] else f"{fact['slug']}-{entry.id}"
        if own := self._get(id):
            return own
        sort = fact["sorts"].get(entry.kind) or fact["sorts"].get("*")
        if sort == "same":
            return entry
        return self._made(entry, fact, id, sort)

    def _made(
        self, entry: CatalogueEntry, fact: Mapping[str, Any], id: str, sort: str | None
    ) -> CatalogueEntry:
        if sort is None:
            kind, origin, state = entry.kind, entry.origin, fact["name"]
            nitrogen = entry.nitrogen
            figures = Figures(lambda: worked_out(entry, fact, self._error))
            note = f"worked out from {entry.id} ({fact['name']})"
        else:
            kind, origin, state, factors = fact["made"][sort]
            nitrogen = Range(*map(float, factors)) if factors else None
            figures = Figures(lambda: self._ranges_of_sort(sort, fact["ranges"]))
            by = f"of {fact['ranges']}, widened" if fact["ranges"] else "by sort of material"
            note = f"composed of {entry.id} ({fact['name']}); ranges {by}"
        if fact["kind"]:
            kind = entry.kind if fact["kind"] == "same" else fact["kind"]
        like = self._get(fact["like"]) if fact["like"] else None
        hazards, carries = self._inherited(entry, fact)
        if like:
            hazards, carries = hazards + like.hazards, (*carries, *like.carries)
        if origin == "unknown" or entry.origin != "unknown":
            origin = entry.origin
        # A cut and a dried meat stand under the meat's own name, a meal or a broth of it does not.
        same = kind == entry.kind and fact["layer"] != "product"
        keeps = kind in ("mineral", "vitamin", "amino-acid")
        family = entry.family if fact["family"] else ""
        above = [
            higher
            for higher in entry.classes
            if higher == entry.species or higher not in (entry.id, entry.family)
        ]
        return CatalogueEntry(
            id=id,
            names=(id.replace("-", " "),),
            kind=kind,
            origin=origin,
            species=entry.species,
            family=family,
            member=id.replace("-", " ") if family else "",
            state=state,
            figures=figures,
            supplies=entry.supplies if keeps else (),
            carries=tuple(dict.fromkeys((*carries, *fact["carries"]))),
            hazards=hazards,
            notes=(note,),
            classes=tuple(dict.fromkeys((id, *filter(None, [family]), *above))),
            composed=True,
            nitrogen=nitrogen,
            kind_of=(entry.kind_of or entry.id) if same else "",
        )

    def _ranges_of_sort(self, sort: str, other: str) -> dict[str, Figure]:
        """The ranges of a sort of material, nearer to those of another entry where it is named."""
        figures = self._figures_of_sort(sort)
        entry = self._get(other) if other else None
        if entry is None:
            return figures
        return {
            part: widened(entry.figures[part], figure, self._share)
            for part, figure in figures.items()
            if part in entry.figures
        }

    def _inherited(
        self, entry: CatalogueEntry, fact: Mapping[str, Any]
    ) -> tuple[tuple[Hazard, ...], tuple[str, ...]]:
        """What belongs to the substance and goes with this fact of it."""
        if fact["substance"]:
            return entry.hazards, entry.carries
        hazards = tuple(hazard for hazard in entry.hazards if fact["name"] in hazard.also)
        return hazards, self._also(entry.id, fact["name"])


def _in_order(facts: tuple[dict[str, Any], ...], order: Mapping[str, int]) -> list[dict[str, Any]]:
    """Returns the facts as they are joined: from the source outward within a layer, but for those
    that come over another wherever they stand."""
    names = {fact["name"] for fact in facts}
    return sorted(
        facts,
        key=lambda fact: (
            order[fact["layer"]],
            not names.isdisjoint(fact.get("over", ())),
            fact["place"],
        ),
    )


def organism(
    name_parts: Organism, yeasts: Collection[str], figures: Callable[[], dict[str, Figure]]
) -> CatalogueEntry:
    """Returns the entry of a micro-organism that no entry lists; `yeasts` are genera."""
    name = f"{name_parts.genus} {name_parts.species}"
    return CatalogueEntry(
        id=f"{name_parts.genus}-{name_parts.species}",
        names=(name,),
        kind="yeast" if name_parts.genus in yeasts else "probiotic",
        origin="microbial",
        species=name.capitalize(),
        state="fermentation product" if name_parts.fermented else "",
        figures=Figures(figures),
        notes=("a micro-organism, understood by its Latin name",),
        classes=(f"{name_parts.genus}-{name_parts.species}", "microbial"),
        composed=True,
    )
