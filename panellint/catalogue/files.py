"""The catalogue's YAML files, read with the line on which each entry stands."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panellint.core import text
from panellint.core.errors import Fault, InputError
from panellint.core.files import rules_folder

if TYPE_CHECKING:
    from panellint.rulepacks.compile.yaml_source import Document

#: Files of `rules/ingredients/` that are not lists of ingredients.
TABLES = (
    "binders",
    "carries",
    "classes",
    "families",
    "forms",
    "glycaemic",
    "hazards",
    "kinds",
    "notes",
    "strengths",
    "tree",
    "usual",
    "widening",
)
#: Those that a look-up by name does not need.
FIGURE_TABLES = ("strengths", "widening")


def folder() -> Path:
    """The folder of the catalogue."""
    return rules_folder() / "ingredients"


def _yaml_in(place: Path) -> list[Path]:
    """The YAML files of a folder, in name order; `glob` costs a start too much."""
    if not place.is_dir():
        return []
    return [place / name for name in sorted(os.listdir(place)) if name.endswith(".yaml")]


def ingredient_files() -> list[Path]:
    """The hand-written files of ingredients, in name order."""
    return [path for path in _yaml_in(folder()) if path.stem not in TABLES]


def foreign_files() -> list[Path]:
    """The files of names in other languages, `names/<language>.yaml`, in name order."""
    return _yaml_in(folder() / "names")


def generated_files() -> list[Path]:
    """The files of ranges made from the tables, in name order."""
    return [path for path in _yaml_in(folder() / "generated") if path != means_file()]


def means_file() -> Path:
    """The file of means made from the tables."""
    return folder() / "generated" / "means.yaml"


def word_files() -> list[Path]:
    """The word lists that matching needs."""
    words = rules_folder() / "words"
    return [words / "qualifiers.yaml", words / "spelling.yaml"]


def _code(*stems: str) -> list[Path]:
    """The modules that compile: a change of theirs puts a cache out of date too."""
    return [Path(__file__).with_name(f"{stem}.py") for stem in stems]


def name_inputs() -> list[Path]:
    """Every file that a look-up by name depends on."""
    tables = [folder() / f"{stem}.yaml" for stem in TABLES if stem not in FIGURE_TABLES]
    code = [*_code("compile", "form_tables"), Path(text.__file__)]
    return [*ingredient_files(), *foreign_files(), *tables, *word_files(), _analyses(), *code]


def figure_inputs() -> list[Path]:
    """Every file that the figures depend on."""
    nutrients = rules_folder() / "nutrients" / "nutrients.yaml"
    tables = [folder() / f"{stem}.yaml" for stem in ("classes", *FIGURE_TABLES)]
    inputs = [*ingredient_files(), *generated_files(), *tables, nutrients, _analyses()]
    return [*inputs, *_code("compile")]


def closes_within() -> float:
    """By how many percentage points the six parts of an analysis may miss 100."""
    points: float = read(_analyses())["closes_within"]["points"]
    return points


def _analyses() -> Path:
    return rules_folder() / "data" / "analyses.yaml"


def fault(path: Path, line: int | None, message: str, expected: str = "") -> InputError:
    """An error at a line of a catalogue file."""
    return InputError(Fault(str(path), line, None if line is None else 1, message, expected))


def read(path: Path) -> dict[str, Any]:
    """Returns one file as plain data; raises InputError where it cannot be read or is no YAML."""
    data: dict[str, Any] = _document(path).data
    return data


@cache
def lines(path: Path) -> dict[str, int]:
    """Returns the line of every key one level below the top, such as an ingredient's id."""
    keys = _document(path).keys
    return {str(place[1]): line for place, (line, _) in keys.items() if len(place) == 2}


@cache
def _document(path: Path) -> Document:
    from panellint.rulepacks.compile.yaml_source import read as read_yaml

    document = read_yaml(path, aliases=True)
    if document.faults:
        raise InputError(*document.faults)
    if not isinstance(document.data, dict):
        raise fault(path, 1, "not a mapping", "keys with values")
    return document
