"""The tree of animals and plants, and the tables by which names are composed, from their files."""

from collections.abc import Iterator
from typing import Any

from panellint.catalogue import files
from panellint.core.text import fold_name, spelled_alike


class Tree:
    """What each animal, plant or class of them is a kind of: `lineage` has it and all above it,
    nearest first, by its name and by its other names."""

    def __init__(self) -> None:
        self.lineage: dict[str, list[str]] = {}
        self._path = files.folder() / "tree.yaml"
        data = files.read(self._path)
        self._grow(data["tree"], [])
        for name, meant in data["names"].items():
            self.lineage[name] = self.lineage[meant]
        self.collective: list[str] = data["collective"]
        for name in self.collective:
            if name not in self.lineage:
                raise files.fault(self._path, None, f"{name!r} is not in the tree")

    def _grow(self, nodes: dict[str, Any] | list[str] | None, above: list[str]) -> None:
        for name in nodes or ():
            if name in self.lineage:
                raise files.fault(self._path, None, f"{name!r} stands twice in the tree")
            self.lineage[name] = [name, *above]
            if isinstance(nodes, dict):
                self._grow(nodes[name], self.lineage[name])


#: What each kind of row in `forms.yaml` states of an ingredient.
LAYERS = {"parts": "part", "products": "product", "states": "state"}


def reading_tables(
    classes: dict[str, Any], kinds: dict[str, Any], ids: set[str], spelling: dict[str, str]
) -> dict[str, Any]:
    """What `NameParser` and `Composer` need: the facts in the order of their files, and by
    language the phrases before and behind a source with the numbers of the facts they state."""
    path = files.folder() / "forms.yaml"
    data = files.read(path)
    words = files.read(files.word_files()[0])
    facts: list[dict[str, Any]] = []
    before: dict[str, dict[str, list[int]]] = {}
    after: dict[str, dict[str, list[int]]] = {}

    def add(fact: dict[str, Any], language: str, table: dict[str, Any], phrases: Any) -> None:
        for phrase in phrases:
            key = fold_name(phrase)
            key = spelled_alike(key, spelling) if language == "en" else key
            numbers = table.setdefault(language, {}).setdefault(key, [])
            if len(facts) not in numbers:
                numbers.append(len(facts))

    for section, layer in LAYERS.items():
        for row in data[section]:
            fact = _fact(row, layer, classes, data)
            for problem in _fact_problems(fact, classes, kinds, ids):
                raise files.fault(path, None, f"{row.get('name')!r}: {problem}")
            add(fact, "en", before, row.get("before", ()))
            add(fact, "en", after, row.get("after", ()))
            if layer == "state":
                add(fact, "en", after, row.get("before", ()))
            for language, phrases in row.get("words", {}).items():
                between = ["", *(f" {word}" for word in data["between"].get(language, ()))]
                add(fact, language, before, (text + word for text in phrases for word in between))
                add(fact, language, after, phrases)
            facts.append(fact)
    groups = [("en", group) for group in words["qualifiers"].values()]
    groups += list(words["other_languages"].items())
    for language, group in groups:
        phrases, of = (group["words"], group["of"]) if isinstance(group, dict) else (group, None)
        fact = {"layer": "qualifier", "name": "", "of": of, "treatment": ""}
        add(fact, language, before, phrases)
        add(fact, language, after, phrases)
        facts.append(fact)
    ends = {
        key: {spelled_alike(fold_name(phrase), spelling): 1 for phrase in words[key]}
        for key in ("lead_ins", "tails")
    }
    genera = {name: name for name in data["genera"]} | data["renamed"]
    return {
        "facts": facts,
        "before": before,
        "after": after,
        "genera": genera,
        "closes_within": files.closes_within(),
        "widened_by": data["widened_by"]["share"],
        **ends,
        **{key: data[key] for key in _AS_THEY_STAND},
    }


#: Tables of `forms.yaml` that are taken as they stand.
_AS_THEY_STAND = ("short_genera", "yeast_genera", "international", "not_organism", "compounds")
#: Rows of `forms.yaml`: what a fact may say, and what it says where it is silent.
_FACT: dict[str, Any] = {
    "added": {}, "after": (), "again": (), "any_state": False, "as": None, "before": (),
    "behind": False, "but": (), "carries": (), "family": True, "gains_water": False, "kept": {},
    "kind": "", "like": "", "moisture": {}, "name": "",
    "of": (), "over": (), "ranges": "", "slug": "", "substance": None, "treatment": "", "words": {},
}  # fmt: skip


def _fact(
    row: dict[str, Any], layer: str, classes: dict[str, Any], data: dict[str, Any]
) -> dict[str, Any]:
    """A row of `forms.yaml` with all that it leaves out."""
    sorts = row.get("as") or {}
    sorts = sorts if isinstance(sorts, dict) else {"*": sorts}
    fact = {**_FACT, **row, "layer": layer, "sorts": sorts, "worked": data["worked"]}
    if fact["substance"] is None:
        fact["substance"] = layer == "state"
    fact["slug"] = fold_name(fact["slug"] or fact["name"]).replace(" ", "-")
    fact["behind"] = fact["behind"] or layer != "state"
    fact["made"] = {
        sort: [classes[sort].get(key) for key in ("kind", "origin", "state", "nitrogen")]
        for sort in sorts.values()
        if sort in classes
    }
    for key in ("as", "before", "after", "words"):
        del fact[key]
    return fact


def _fact_problems(
    fact: dict[str, Any], classes: dict[str, Any], kinds: dict[str, Any], ids: set[str]
) -> Iterator[str]:
    known = {*_FACT, "layer", "sorts", "worked", "made"}
    if unknown := sorted(set(fact) - known):
        yield f"unknown key {unknown[0]!r}"
    for sort in fact["sorts"].values():
        if sort != "same" and sort not in classes:
            yield f"no sort of material is called {sort!r} in classes.yaml"
    for kind in (*fact["of"], *filter(lambda kind: kind != "*", fact["sorts"])):
        if kind not in kinds:
            yield f"no kind is called {kind!r} in kinds.yaml"
    for id in filter(None, (fact["like"], fact["ranges"])):
        if id not in ids:
            yield f"no ingredient has the id {id!r}"
    if "*" not in fact["sorts"] and not fact["moisture"]:
        yield "neither a sort of material nor a moisture"
