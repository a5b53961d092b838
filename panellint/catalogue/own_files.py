"""Files of a user's own ingredients compiled: read, validated, checked against the catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, Field

from panellint.catalogue import files
from panellint.catalogue.compile import close
from panellint.catalogue.model import ANYTHING, PARTS, CatalogueEntry
from panellint.core.errors import Fault, InputError
from panellint.core.phrases import listed
from panellint.core.text import fold_name, spelled_alike
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.compile.errors import items, unknown, validated
from panellint.rulepacks.compile.models import Model, Text, one_of, published
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.catalogue.store import Catalogue

#: The market whose labels use the words of a region.
_MARKETS = {"us": "us", "gb": "uk"}
#: Levels of a hazard that may not be lost.
_GRAVE = ("error", "warning")
Names = Annotated[
    dict[str, list[Text]],
    BeforeValidator(
        lambda value: {"": value} if isinstance(value, list) else value,
        json_schema_input_type=list[str] | dict[str, list[str]],
    ),
]
Ends = Annotated[list[float], Field(min_length=2, max_length=2)]


def _units() -> dict[str, str]:
    return {row["id"]: row["unit"] for row in data("nutrients/nutrients")["nutrients"]}


class OwnIngredient(Model):
    """One ingredient of a user's own."""

    name: Annotated[Text, Field(description="As labels print it.")]
    language: Annotated[Text, Field(description="The language of `name`.")] = "en"
    names: Names = Field(
        default_factory=dict,
        description="Its other names: a list, or lists by language (en, en-gb, de).",
    )
    kind_of: Annotated[
        Text, Field(alias="kind-of", description="What the catalogue knows that it is a kind of.")
    ]
    figures: dict[Annotated[str, one_of("nutrient", _units)], Ends] = Field(
        default_factory=dict,
        description="Nutrient id to its least and its most, in its own unit as added.",
    )
    source: Annotated[Text, Field(description="Where the figures are from.")]


class OwnFile(Model):
    """A file of ingredients of a user's own."""

    ingredients: Annotated[list[OwnIngredient], Field(min_length=1)]


def schema() -> dict[str, Any]:
    """Returns the JSON Schema of such a file."""
    return published(OwnFile.model_json_schema(by_alias=True), "panellint ingredients")


def compiled(paths: tuple[Path, ...], catalogue: Catalogue) -> dict[str, Any]:
    """Returns the ids by language and folded name, and a row an ingredient.

    Raises InputError with every fault of every file.
    """
    compiling = _Compiling(catalogue)
    documents = [compiling.add(path) for path in paths]
    if faults := [fault for document in documents for fault in document.in_order()]:
        raise InputError(*faults)
    return {"names": compiling.names, "rows": compiling.rows}


class _Compiling:
    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self.names: dict[str, dict[str, str]] = {}
        self.rows: dict[str, dict[str, Any]] = {}
        self._units = _units()

    def add(self, path: Path) -> Document:
        """Reads one file and returns it with its faults."""
        document = yaml_source.read(path)
        if not document.broken:
            validated(document, OwnFile)
            for index, ingredient in items(document, "ingredients", OwnIngredient):
                self._add(document, ("ingredients", index), ingredient, path)
        return document

    def _add(self, document: Document, at: Loc, ingredient: OwnIngredient, path: Path) -> None:
        id = f"own-{fold_name(ingredient.name).replace(' ', '-')}"
        languages = self.catalogue.languages
        if ingredient.language not in languages:
            unknown(document, (*at, "language"), "language", ingredient.language, languages)
            return
        match = self.catalogue.named(ingredient.kind_of, ingredient.language)
        if match is None:
            near = self.catalogue.suggest(ingredient.kind_of, language=ingredient.language)
            expected = listed((f"`{name}`" for name in near), "or") or "a name of the catalogue"
            message = f"the catalogue knows no `{ingredient.kind_of}`"
            document.refuse((*at, "kind-of"), message, expected)
            return
        shadowed: list[str] = []
        for loc, language, name in self._printed(document, at, ingredient):
            self._claim(document, loc, language, name, id)
            shadowed += self._shadowed(document, loc, language, name, match.known)
        note = f"an ingredient of one's own ({path.name})"
        if shadowed:
            note += f"; it goes before the catalogue's {listed(dict.fromkeys(shadowed), 'and')}"
        others = chain.from_iterable(ingredient.names.values())
        self.rows[id] = {
            "names": list(dict.fromkeys([ingredient.name, *others])),
            "language": ingredient.language,
            "kind_of": ingredient.kind_of,
            "figures": self._figures(document, at, ingredient, match.known),
            "source": ingredient.source,
            "note": note,
        }

    def _printed(
        self, document: Document, at: Loc, ingredient: OwnIngredient
    ) -> Iterator[tuple[Loc, str, str]]:
        """Yields each name with its place and its language or region."""
        yield (*at, "name"), ingredient.language, ingredient.name
        known = [*self.catalogue.languages, *(f"en-{region}" for region in _MARKETS)]
        for language, names in ingredient.names.items():
            loc: Loc = (*at, "names", language) if language else (*at, "names")
            if language and language not in known:
                unknown(document, loc, "language", language, known, key=True)
                continue
            for place, name in enumerate(names):
                yield (*loc, place), language or ingredient.language, name

    def _claim(self, document: Document, loc: Loc, language: str, name: str, id: str) -> None:
        key = fold_name(name)
        if not key:
            document.refuse(loc, f"`{name}` is no name", "words")
            return
        table = self.names.setdefault(language, {})
        if table.setdefault(key, id) != id or (loc[-1] == "name" and id in self.rows):
            message = f"another ingredient has the name `{name}` already"
            document.refuse(loc, message, "a name of its own")
        if language.partition("-")[0] == "en":
            table.setdefault(spelled_alike(key, self.catalogue.spelling), id)

    def _shadowed(
        self, document: Document, loc: Loc, language: str, name: str, above: CatalogueEntry
    ) -> Iterator[str]:
        """Yields what the catalogue has by a name; a hazard that would be lost is a fault."""
        base, _, region = language.partition("-")
        markets = [_MARKETS[region]] if region else list(_MARKETS.values())
        entries = {
            match.known.id: match.known
            for market in markets
            if (match := self.catalogue.lookup(name, market=market, language=base))
        }
        for id, known in entries.items():
            lost = [h for h in known.hazards if h not in above.hazards and h.level in _GRAVE]
            if lost:
                animals = listed(dict.fromkeys(hazard.species for hazard in lost), "and")
                message = f"`{name}` is the name of {known.names[0]}, a hazard to the {animals}"
                expected = f"another name, or `kind-of: {id}`"
                document.refuse(loc, message, expected)
            yield known.names[0]

    def _figures(
        self, document: Document, at: Loc, ingredient: OwnIngredient, above: CatalogueEntry
    ) -> dict[str, list[Any]]:
        """Returns the ranges with their units; six parts that cannot sum to 100 are a fault."""
        rows: dict[str, list[Any]] = {}
        faults: list[Fault] = []
        for nutrient, (low, high) in ingredient.figures.items():
            loc = (*at, "figures", nutrient)
            unit = self._units[nutrient]
            if not 0 <= low <= high or (unit == "%" and high > 100):
                message = f"`{nutrient}` is from {low:g} to {high:g} {unit}"
                faults.append(document.fault(loc, message, "the least, then the most"))
            else:
                rows[nutrient] = [low, high, unit]
        parts = {part: [*(above.range_of(part) or ANYTHING)] for part in PARTS}
        parts |= {part: row[:2] for part, row in rows.items() if part in PARTS}
        if not faults:
            try:
                close(parts, above.nitrogen, files.closes_within())
            except ValueError as error:
                message = f"with the ranges of {above.names[0]}, {error}"
                faults.append(document.fault((*at, "figures"), message, "parts that sum to 100 %"))
        document.faults += faults
        return rows
