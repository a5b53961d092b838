"""Composition tables into the catalogue's generated ranges.

`python -m rules.tables.generate` reads the tables in `rules/tables/`, the rows that
each hand-written entry names (`usda`, `feed`, `envelope`) and the policy in `widening.yaml`, and
writes `rules/ingredients/generated/`: one file of ranges for each hand-written one, and the means
of all in `means.yaml`. With `--check` it writes nothing and tells whether the files are in time.
A new edition of a table is one run.
"""

from __future__ import annotations

import sys
from math import ceil, floor, log10
from pathlib import Path
from typing import Any

from panellint.catalogue import files
from panellint.catalogue.compile import entries
from panellint.catalogue.model import PARTS
from panellint.core.errors import InputError
from rules.tables.rows import Row, Tables

#: Where the composition tables lie; no wheel has them.
FOLDER = Path(__file__).parent
#: low, high, source, seen
Figure = tuple[float, float, str, bool]
HEAD = """\
# Made by `python -m rules.tables.generate` from tables/*.csv; not written by hand.
# nutrient: [low, high, index of source, 1 where the source was read]
"""
HEAD_OF_MEANS = """\
# Made by `python -m rules.tables.generate` from tables/*.csv; not written by hand.
# nutrient: the plain mean of the table rows, in the nutrient's unit as added
"""


class Ranges:
    """The ranges of one entry from its rows, by the widening policy."""

    def __init__(
        self,
        rows: list[Row],
        envelopes: list[Row],
        kind: str,
        policy: dict[str, Any],
        classes_of: dict[str, str],
    ) -> None:
        self._rows = rows
        self._envelopes = envelopes
        self._policy = policy
        self._kind = kind
        self._parts = {**policy["parts"]["default"], **policy["parts"].get(kind, {})}
        self._classes = classes_of

    def _source(self, nutrient: str) -> tuple[str, bool]:
        used = [
            row
            for row in (*self._rows, *self._envelopes)
            if nutrient in row.means
            or nutrient in row.spans
            or (nutrient == "fibre" and row.dietary is not None)
        ]
        labels = list(dict.fromkeys(row.label for row in used))
        usda = [label for label in labels if ", NDB " in label]
        text = "; ".join(label for label in labels if label not in usda)
        if usda:
            head = usda[0].split(", NDB ")[0]
            numbers = ", ".join(label.split(", NDB ")[1] for label in usda)
            text = "; ".join(t for t in (f"{head}, NDB {numbers}", text) if t)
        return f"{text}; widened by kind", all(row.seen for row in used)

    def part(self, nutrient: str) -> Figure | None:
        """The range of one of the six parts, in percent as added."""
        ends: list[tuple[float, float]] = []
        policy = self._parts[nutrient]
        with_mean = [row for row in self._rows if nutrient in row.means]
        spans = [
            row.spans[nutrient] for row in (*self._rows, *self._envelopes) if nutrient in row.spans
        ]
        count = len(with_mean) + len(spans)
        times = 1.0
        if count < self._policy["few_rows"]:
            times = self._policy["few_rows_factor"]
        elif count >= self._policy["many_rows"]:
            times = self._policy["many_rows_factor"]
        for row in with_mean:
            low, high = row.means[nutrient]
            ends.append((low - times * _width(policy, low), high + times * _width(policy, high)))
        for low, high, more in spans:
            ends.append((low - more * _width(policy, low), high + more * _width(policy, high)))
        if nutrient == "fibre":
            ends = self._with_dietary(ends)
        if not ends:
            return None
        low = max(0.0, min(low for low, _ in ends))
        high = min(100.0, max(high for _, high in ends))
        if nutrient == "carbohydrate":
            # What is left over holds the errors of all the rest.
            low = max(0.0, low - self._policy["closes_within"])
        return (_down(low), _up(high), *self._source(nutrient))

    def _with_dietary(self, crude: list[tuple[float, float]]) -> list[tuple[float, float]]:
        """Total dietary fibre lets crude fibre be anything from none to all of it.

        Where crude fibre is printed too, only the low end is opened.
        """
        dietary = [r.dietary for r in (*self._rows, *self._envelopes) if r.dietary is not None]
        if not dietary:
            return crude
        most = max(high for _, high in crude) if crude else max(dietary)
        return [*crude, (0.0, max(most, self._parts["fibre"]["absolute"]))]

    def minor(self, nutrient: str, within: tuple[str, Figure] | None) -> Figure | None:
        """The range of another nutrient in its unit; `within` is the part it varies with."""
        found = [(row, row.means[nutrient]) for row in self._rows if nutrient in row.means]
        spans = [
            r.spans[nutrient][:2] for r in (*self._rows, *self._envelopes) if nutrient in r.spans
        ]
        if not any(high > 0 for _, (_, high) in found) and not spans:
            return None
        factors = self._policy["factors"]
        times = factors.get(nutrient, factors[self._classes[nutrient]])
        if len(found) < self._policy["few_rows"]:
            times *= self._policy["few_rows_nutrient_factor"]
        ends = list(spans)
        if within:
            part, figure = within
            ratios = []
            for row, (low, high) in found:
                least, most = row.means.get(part, (0.0, 0.0))
                if least > 0:
                    ratios.append((low / most, high / least))
            if ratios:
                ends.append(
                    (
                        min(low for low, _ in ratios) / times * figure[0],
                        max(high for _, high in ratios) * times * figure[1],
                    )
                )
        if found:
            ends.append(
                (min(low for _, (low, _) in found) / times, max(h for _, (_, h) in found) * times)
            )
        low, high = min(low for low, _ in ends), max(high for _, high in ends)
        mineral = self._classes[nutrient] in ("mineral", "trace-element")
        if mineral and self._kind in self._policy["minerals_from_zero"]:
            low = 0.0
        return (_down(low), _up(high), *self._source(nutrient))


def _width(policy: dict[str, float], mean: float) -> float:
    width: float = max(policy.get("relative", 0.0) * mean, policy.get("absolute", 0.0))
    return width


def _down(value: float) -> float:
    """Three significant figures, downward."""
    scale = _scale(value)
    return floor(value * scale + 1e-9) / scale


def _up(value: float) -> float:
    """Three significant figures, upward."""
    scale = _scale(value)
    return ceil(value * scale - 1e-9) / scale


def _scale(value: float) -> float:
    return 10.0 ** (2 - floor(log10(value))) if value > 0 else 1.0


def figures_of(
    fields: dict[str, Any],
    tables: Tables,
    policy: dict[str, Any],
    material: dict[str, Any],
    classes_of: dict[str, str],
) -> dict[str, Figure]:
    """All ranges of one entry that its rows give."""
    kind = fields.get("kind", material["kind"])
    origin = fields.get("origin", material["origin"])
    envelopes = [tables.envelope(name, origin) for name in fields.get("envelope", [])]
    spread = {nutrient for row in envelopes for nutrient in row.spans}
    numbers = str(fields.get("usda", "")).split()
    rows = [tables.usda_row(number, origin, kind, spread) for number in numbers]
    for name in fields.get("feed", []):
        rows += tables.feed_rows(name)
    printed = [row.dietary for row in (*rows, *envelopes) if row.dietary is not None]
    for row in rows:
        row.with_fibre(max(printed, default=policy["unknown_dietary"]))
    ranges = Ranges(rows, envelopes, kind, policy, classes_of)
    made: dict[str, Figure] = {}
    for part in PARTS:
        if figure := ranges.part(part):
            made[part] = _within(figure, material[part]) if part == "carbohydrate" else figure
    final = {part: _final(part, figure, fields, material) for part, figure in made.items()}
    up, down = _dry_matter_factors(made, final)
    for nutrient in classes_of:
        if nutrient in PARTS:
            continue
        within = {"amino-acid": "protein", "fatty-acid": "fat"}.get(classes_of[nutrient])
        pair = (within, final[within]) if within in final else None
        if within and not pair:
            continue
        figure = ranges.minor(nutrient, pair)
        if figure:
            low, high, source, seen = figure
            made[nutrient] = (_down(low * down), _up(high * up), source, seen)
    return made


def _within(figure: Figure, sort: list[float]) -> Figure:
    """A remainder by difference, cut to what the sort of material can hold where they meet."""
    low, high, source, seen = figure
    least, most = max(low, sort[0]), min(high, sort[1])
    return (least, most, source, seen) if least <= most else figure


def _final(part: str, figure: Figure, fields: dict[str, Any], material: dict[str, Any]) -> Figure:
    """The range that the catalogue will hold once the entry's own words are heard."""
    low, high, source, seen = figure
    if fields.get("wide"):
        low, high = min(low, material[part][0]), max(high, material[part][1])
    if part in fields.get("holds", {}):
        low, high = fields["holds"][part]
    return low, high, source, seen


def _dry_matter_factors(made: dict[str, Figure], final: dict[str, Figure]) -> tuple[float, float]:
    """How much drier and wetter than the tables' rows the entry may be."""
    if "moisture" not in made:
        return 1.0, 1.0
    low, high, *_ = made["moisture"]
    least, most, *_ = final["moisture"]
    up = (100 - least) / max(0.5, 100 - low)
    down = max(0.0, 100 - most) / max(0.5, 100 - high)
    return max(1.0, up), min(1.0, down)


def generate() -> dict[Path, str]:
    """The text of every generated file, by path."""
    base = files.folder()
    policy = files.read(base / "widening.yaml") | {"closes_within": files.closes_within()}
    classes = files.read(base / "classes.yaml")["classes"]
    nutrients = files.read(base.parent / "nutrients" / "nutrients.yaml")["nutrients"]
    classes_of = {n["id"]: n["class"] for n in nutrients}
    tables = Tables(FOLDER, policy)
    made: dict[Path, dict[str, dict[str, Figure]]] = {}
    means: dict[str, dict[str, float]] = {}
    for path, id, fields in entries():
        if not {"usda", "feed", "envelope"} & set(fields):
            continue
        try:
            figures = figures_of(fields, tables, policy, classes[fields["as"]], classes_of)
            means[id] = means_of(fields, tables, classes[fields["as"]])
        except KeyError as error:
            line = files.lines(path).get(id)
            raise files.fault(path, line, f"{id}: no table row is called {error}") from None
        made.setdefault(base / "generated" / path.name, {})[id] = figures
    texts = {path: _text(figures) for path, figures in made.items()}
    return {**texts, files.means_file(): _means_text(means)}


def means_of(fields: dict[str, Any], tables: Tables, material: dict[str, Any]) -> dict[str, float]:
    """The plain means over the rows of one entry, each in the nutrient's own unit as added."""
    kind = fields.get("kind", material["kind"])
    origin = fields.get("origin", material["origin"])
    numbers = str(fields.get("usda", "")).split()
    rows = [tables.usda_row(number, origin, kind, set()) for number in numbers]
    if not rows:
        rows = [row for name in fields.get("feed", ()) for row in tables.feed_rows(name)]
    middles: dict[str, list[float]] = {}
    for row in rows:
        for nutrient, (low, high) in row.means.items():
            middles.setdefault(nutrient, []).append((low + high) / 2)
    return {n: round(sum(values) / len(values), 6) for n, values in middles.items()}


def _means_text(means: dict[str, dict[str, float]]) -> str:
    lines = [f"{HEAD_OF_MEANS}means:\n"]
    for id, by_nutrient in sorted(means.items()):
        if by_nutrient:
            cells = ", ".join(
                f"{nutrient}: {_plain(mean)}" for nutrient, mean in by_nutrient.items()
            )
            lines.append(f"  {id}: {{{cells}}}\n")
    return "".join(lines)


def _text(entries: dict[str, dict[str, Figure]]) -> str:
    sources: dict[str, int] = {}
    lines = []
    for id, figures in entries.items():
        cells = []
        for nutrient, (low, high, source, seen) in figures.items():
            at = sources.setdefault(source, len(sources))
            cells.append(f"{nutrient}: [{_plain(low)}, {_plain(high)}, {at}, {int(seen)}]")
        lines.append(f"  {id}: {{{', '.join(cells)}}}\n")
    quoted = "".join(f"  - {_quoted(source)}\n" for source in sources)
    return f"{HEAD}sources:\n{quoted}figures:\n{''.join(lines)}"


def _plain(value: float) -> str:
    """Without an exponent, which YAML would take for a word."""
    return f"{value:.9f}".rstrip("0").rstrip(".") or "0"


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def main(arguments: list[str]) -> int:
    """Write the generated files, or with `--check` say which ones are out of date."""
    try:
        wanted = generate()
    except InputError as error:
        print(error, file=sys.stderr)
        return 2
    stale = [p for p, text in wanted.items() if not p.exists() or p.read_text("utf-8") != text]
    if "--check" in arguments:
        for path in stale:
            print(f"{path.name} is out of date")
        return 1 if stale else 0
    for path in stale:
        path.parent.mkdir(exist_ok=True)
        path.write_text(wanted[path], "utf-8")
    print(f"{len(wanted)} files, {len(stale)} written")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
