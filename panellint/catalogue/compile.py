"""Hand-written ingredient files into the tables that a look-up by name needs, and into composition
ranges: what the class, the tables and the hand-written entry say, merged."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from panellint.catalogue import files
from panellint.catalogue.form_tables import Tree, reading_tables
from panellint.catalogue.model import PARTS
from panellint.core.errors import Fault, InputError
from panellint.core.text import fold_name, spelled_alike

#: What an entry of an ingredient file may hold.
KEYS = {
    "as", "bone", "carries", "envelope", "feed", "holds", "holds_source", "kind", "kind_of",
    "names", "nitrogen", "notes", "of", "origin", "state", "supplies", "usda", "wide",
}  # fmt: skip
#: Tables by subject whose rows go with an ingredient's own.
BY_ID = ("usual", "carries", "also_carries", "hazards", "glycaemic", "binders", "notes")
#: Where names are for all markets of a language, or for one region of it.
REGIONS = ("us", "gb")


def entries() -> Iterator[tuple[Path, str, dict[str, Any]]]:
    """Every hand-written ingredient: its file, id and fields, in file order."""
    for path in files.ingredient_files():
        for id, fields in files.read(path).get("ingredients", {}).items():
            yield path, id, fields


def names() -> dict[str, Any]:
    """All that matching and `CatalogueEntry` need except figures, as plain data.

    One look-up needs few of the entries of "known", "names" and "printed".
    """
    classes = files.read(files.folder() / "classes.yaml")["classes"]
    kinds = files.read(files.folder() / "kinds.yaml")["kinds"]
    tree = Tree()
    spelling = {
        fold_name(a): fold_name(b) for a, b in files.read(files.word_files()[1])["spelling"].items()
    }
    claims = _Claims(spelling)
    known: dict[str, list[Any]] = {}
    faults: list[Fault] = []
    for path, id, fields in entries():
        line = files.lines(path).get(id)
        for problem in _problems(id, fields, classes, kinds, known, tree.lineage):
            faults.append(Fault(str(path), line, 1, f"{id}: {problem}"))
        if id in known or fields.get("as") not in classes:
            continue
        kind = classes[fields["as"]]
        printed = fields.get("names", [])
        by_language = printed if isinstance(printed, dict) else {"en": printed}
        for language, listed in by_language.items():
            for name in listed:
                claims.add(language, str(name), id, path, line)
        listed_names = [str(name) for group in by_language.values() for name in group]
        known[id] = [
            listed_names,
            fields.get("kind", kind["kind"]),
            fields.get("origin", kind["origin"]),
            fields.get("of", ""),
            fields.get("state", kind["state"]),
            fields.get("supplies", []),
            fields.get("carries", []),
            fields.get("notes", []),
            fields["as"],
            fields.get("kind_of", ""),
            fields.get("nitrogen", kind.get("nitrogen")),
        ]
    for path in files.foreign_files():
        data = files.read(path)
        for id, listed in data["names"].items():
            line = files.lines(path).get(id)
            if id not in known:
                faults.append(Fault(str(path), line, 1, f"no ingredient has the id {id}"))
            for name in listed:
                claims.add(data["language"], str(name), id, path, line)
    for path, id, fields in entries():
        above = fields.get("kind_of", "")
        if above and above not in known:
            message = f"{id}: no ingredient has the id {above!r} that it is a kind of"
            faults.append(Fault(str(path), files.lines(path).get(id), 1, message))
    faults += claims.faults()
    if faults:
        raise InputError(*faults)
    joined = _joined(set(known))
    _add_cuts(joined["families"], {id: row[9] for id, row in known.items()})
    for id, row in known.items():
        row.append({subject: joined[subject][id] for subject in BY_ID if id in joined[subject]})
    reading = {"spelling": spelling, **reading_tables(classes, kinds, set(known), spelling)}
    return {
        "names": claims.tables(),
        "known": known,
        "families": joined["families"],
        "groups": joined["groups"],
        "lineage": tree.lineage,
        "collective": tree.collective,
        "reading": reading,
        "printed": claims.printed(),
    }


def _problems(
    id: str,
    fields: dict[str, Any],
    classes: dict[str, Any],
    kinds: dict[str, Any],
    known: dict[str, Any],
    lineage: dict[str, Any],
) -> Iterator[str]:
    if id in known:
        yield "stands in another file too"
    if fields.get("as") not in classes:
        yield f"no sort of material is called {fields.get('as')!r} in classes.yaml"
    if unknown := sorted(set(fields) - KEYS):
        yield f"unknown key {unknown[0]!r}"
    if fields.get("kind", "other") not in kinds:
        yield f"no kind is called {fields['kind']!r} in kinds.yaml"
    if fields.get("of", "") and fields["of"] not in lineage:
        yield f"no animal or plant is called {fields['of']!r} in tree.yaml"
    if not fields.get("names"):
        yield "has no names"
    if fold_name(id).replace(" ", "-") != id:
        yield "the id is not in plain words joined by hyphens"


class _Claims:
    """Which entry claims which name, by language and region."""

    def __init__(self, spelling: dict[str, str]) -> None:
        self._spelling = spelling
        self._claims: dict[str, dict[str, tuple[str, Path, int | None]]] = {}
        self._plain: dict[str, dict[str, str]] = {}
        self._printed: dict[str, dict[str, str]] = {}
        self._faults: list[Fault] = []

    def add(self, language: str, name: str, id: str, path: Path, line: int | None) -> None:
        key = fold_name(name)
        base = language.split("-")[0]
        views = (language, base) if language != base else (base, *(f"{base}-{r}" for r in REGIONS))
        for view in views:
            other = self._claims.get(view, {}).get(key)
            if other and other[0] != id:
                message = f"{id} and {other[0]} both claim the name {name!r} in {language}"
                self._faults.append(Fault(str(path), line, 1, message))
                return
        self._claims.setdefault(language, {})[key] = (id, path, line)
        if base != "en" and name != key:
            self._printed.setdefault(language, {})[key] = name
        if base == "en":
            simple = spelled_alike(key, self._spelling)
            first = self._plain.setdefault(language, {}).setdefault(simple, id)
            if first != id:
                message = f"{id} and {first} both claim {simple!r} once plurals are folded"
                self._faults.append(Fault(str(path), line, 1, message))

    def faults(self) -> list[Fault]:
        return self._faults

    def printed(self) -> dict[str, dict[str, str]]:
        """Names with the accents and capitals of their language, by folded name."""
        return self._printed

    def tables(self) -> dict[str, dict[str, str]]:
        tables: dict[str, dict[str, str]] = {}
        for language, claims in self._claims.items():
            table = {key: id for key, (id, _, _) in claims.items()}
            for key, id in self._plain.get(language, {}).items():
                table.setdefault(key, id)
            tables[language] = table
        return tables


def _add_cuts(families: dict[str, list[str]], kind_of: dict[str, str]) -> None:
    """Sums a cut, which is a kind of another entry, with the family of that where it has none."""
    family = {id: name for name, members in families.items() for id in members}
    for id in kind_of:
        above = id
        while above not in family and kind_of[above]:
            above = kind_of[above]
        if id not in family and above in family:
            families[family[above]].append(id)


def _joined(ids: set[str]) -> dict[str, Any]:
    """The tables by subject, joined to ingredient ids; an unknown id is a fault."""
    base = files.folder()
    families = files.read(base / "families.yaml")["families"]
    groups = files.read(base / "families.yaml").get("groups", {})
    members = {name: list(family["members"]) for name, family in families.items()}
    usual = files.read(base / "usual.yaml")["usual"]
    carries = files.read(base / "carries.yaml")["carries"]
    tables = {
        "families": [id for group in members.values() for id in group],
        "usual": list(usual),
        "carries": [id for row in carries for id in row["ids"]],
    }
    by_id: dict[str, dict[str, list[Any]]] = {
        subject: {} for subject in ("hazards", "glycaemic", "binders", "notes")
    }
    for subject, table in by_id.items():
        for row in files.read(base / f"{subject}.yaml")[subject]:
            tables.setdefault(subject, []).extend(row["ids"])
            for id in row["ids"]:
                table.setdefault(id, []).append({k: v for k, v in row.items() if k != "ids"})
    for subject, named in tables.items():
        for id in named:
            if id not in ids:
                path = base / f"{subject}.yaml"
                raise files.fault(path, None, f"no ingredient has the id {id!r}")
    carried: dict[str, list[str]] = {}
    also_carried: dict[str, dict[str, list[str]]] = {}
    for row in carries:
        for id in row["ids"]:
            carried.setdefault(id, []).extend(row["nutrients"])
            for form in row.get("also", ()):
                forms = also_carried.setdefault(id, {})
                forms.setdefault(form, []).extend(row["nutrients"])
    return {
        "families": members,
        "groups": groups,
        "usual": usual,
        "carries": carried,
        "also_carries": also_carried,
        **by_id,
    }


def figures() -> dict[str, Any]:
    """All figures, as JSON can hold them: rows of [low, high, index of source, confirmed]."""
    base = files.folder()
    merger = Merger()
    made_by_id: dict[str, Any] = {}
    for path in files.generated_files():
        content = files.read(path)
        for id, figures in content["figures"].items():
            made_by_id[id] = {
                n: (*row[:2], content["sources"][row[2]], row[3]) for n, row in figures.items()
            }
    by_id: dict[str, Any] = {}
    for path, id, fields in entries():
        try:
            by_id[id] = merger.rows(id, fields, made_by_id.get(id, {}))
        except ValueError as error:
            expected = "six parts with ranges that can close to 100 %"
            line = files.lines(path).get(id)
            raise files.fault(path, line, f"{id}: {error}", expected) from None
    if lost := sorted(set(merger.strengths) - set(by_id)):
        raise files.fault(base / "strengths.yaml", None, f"no ingredient has the id {lost[0]!r}")
    return {
        "figures": by_id,
        "classes": merger.by_class,
        "sources": merger.sources.texts,
        "units": merger.units,
    }


class Merger:
    """Merges what the sort of material, the tables and the entry itself say of an entry."""

    def __init__(self) -> None:
        base = files.folder()
        self._classes = files.read(base / "classes.yaml")
        self._bone = files.read(base / "widening.yaml")["bone"]
        self._error = files.closes_within()
        nutrients = files.read(base.parent / "nutrients" / "nutrients.yaml")["nutrients"]
        self.units = {nutrient["id"]: nutrient["unit"] for nutrient in nutrients}
        self.sources = _Sources()
        at = self.sources.index(self._classes["source"])
        self.by_class = {
            name: {n: [*fields[n], at, False] for n in self.units if n in fields}
            for name, fields in self._classes["classes"].items()
        }
        strong = files.read(base / "strengths.yaml")
        self._strong_sources: dict[str, str] = strong["sources"]
        self.strengths: dict[str, list[dict[str, Any]]] = {}
        for strength in strong["strengths"]:
            self.strengths.setdefault(strength["id"], []).append(strength)

    def rows(
        self, id: str, fields: dict[str, Any], ranges: dict[str, tuple[float, float, str, Any]]
    ) -> dict[str, list[Any]]:
        """Returns the ranges of one entry by nutrient, each in the nutrient's own unit as added.

        `made` are those that its table rows give: low, high, source, whether it was read. Raises
        ValueError where a range is none, or where the six parts cannot sum to 100.
        """
        sources = self.sources
        by_class = self.by_class[fields["as"]]
        rows = {nutrient: list(row) for nutrient, row in by_class.items()}
        bone = fields.get("bone", self._classes["classes"][fields["as"]].get("bone"))
        for nutrient, (low, high, source, confirmed) in ranges.items():
            most = min(high, 100) if self.units.get(nutrient) == "%" else high
            row = [low, most, sources.index(source), bool(confirmed)]
            if fields.get("wide") and nutrient in by_class:
                row = _union(row, by_class[nutrient], sources)
            rows[nutrient] = row
        if bone:
            _add_bone(rows, self._bone[bone], sources)
        for strength in self.strengths.get(id, []):
            kept = self._strong_sources[strength["source"]]
            confirmed = strength["source"] == "formula"
            rows[strength["nutrient"]] = [*strength["range"], sources.index(kept), confirmed]
        held = fields.get("holds_source", self._classes["source"])
        for nutrient, (low, high) in fields.get("holds", {}).items():
            rows[nutrient] = [low, high, sources.index(held), "holds_source" in fields]
        for nutrient, (low, high, *_) in rows.items():
            if nutrient not in self.units:
                raise ValueError(f"no nutrient is called {nutrient!r}")
            if not 0 <= low <= high:
                raise ValueError(f"{nutrient} from {low} to {high}")
        of_sort = self._classes["classes"][fields["as"]].get("nitrogen")
        close(rows, fields.get("nitrogen", of_sort), self._error)
        return rows


class _Sources:
    """Texts of sources, each kept once."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._at: dict[str, int] = {}

    def index(self, text: str) -> int:
        if text not in self._at:
            self._at[text] = len(self.texts)
            self.texts.append(text)
        return self._at[text]


def _union(row: list[Any], other: list[Any], sources: _Sources) -> list[Any]:
    """The span of both; from memory as soon as the second one moves an end."""
    low, high = min(row[0], other[0]), max(row[1], other[1])
    if [low, high] == row[:2]:
        return row
    text = f"{sources.texts[row[2]]}; widened by: {sources.texts[other[2]]}"
    return [low, high, sources.index(text), False]


def _add_bone(rows: dict[str, list[Any]], bone: dict[str, Any], sources: _Sources) -> None:
    """Lift the high ends of ash, calcium and phosphorus where bone is not shut out."""
    for nutrient, most in bone.items():
        if nutrient == "source" or nutrient not in rows:
            continue
        low, high, at, _ = rows[nutrient]
        if high < most:
            text = f"{sources.texts[at]}; high end: {bone['source']}"
            rows[nutrient] = [low, most, sources.index(text), False]


def close(rows: dict[str, list[Any]], nitrogen: Sequence[float] | None, error: float) -> None:
    """Cuts each of the six parts to what the least and the most of the others leave it, within the
    error of analyses: a dried meat of 25 % protein at least is never 89 % fat. Crude protein may
    pass the weight of what holds the `nitrogen`, and all six then sum to more than 100.

    Raises ValueError where the parts cannot sum to 100 %.
    """
    if missing := [part for part in PARTS if part not in rows]:
        raise ValueError(f"no range of {missing[0]}")
    low = sum(rows[part][0] for part in PARTS)
    high = sum(rows[part][1] for part in PARTS)
    most = 100 + rows["protein"][1] * (1 - 1 / max(1.0, nitrogen[1] if nitrogen else 1.0))
    if not low <= most or high < 100:
        raise ValueError(f"the six parts sum to between {low:.1f} and {high:.1f} %")
    for row in [rows[part] for part in PARTS]:
        others_low, others_high = low - row[0], high - row[1]
        row[:2] = [
            max(row[0], round(100 - error - others_high, 3)),
            min(row[1], round(most + error - others_low, 3)),
        ]
