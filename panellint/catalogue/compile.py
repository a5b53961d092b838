"""Hand-written ingredient files into the tables that a look-up by name needs."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from panellint.catalogue import files
from panellint.catalogue.form_tables import Tree, reading_tables
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
