"""The data below `rules/` that is neither a rule pack nor the catalogue, compiled to one file."""

import os
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from panellint.core.cache import cached
from panellint.core.files import rules_folder
from panellint.core.wording import items, regex

#: The folders of `rules/` that hold packs, in the order in which their rules run.
PACK_FOLDERS = ("us", "eu", "uk", "ca", "practice")
#: The files of such a folder that hold no rules: what a market asks, and what its states enacted.
REQUIREMENTS, STATES = "requirements.yaml", "states.yaml"
#: The data that name regular expressions which the words of packs take.
EXPRESSIONS = "words/expressions"
#: The checks, and what a rule of each may give.
CHECKS = "data/checks"
#: Folders of `rules/` that are no data: packs, and what has a compiled form of its own.
_APART = {*PACK_FOLDERS, "ingredients"}


@cache
def data(name: str) -> Any:
    """Returns what `rules/<name>.yaml` holds, as JSON has it: `data("nutrients/nutrients")`.

    It is shared: treat it as read-only. Raises KeyError where there is no such file, and InputError
    with every fault where one of the data files is no good YAML.
    """
    return _data()[name]


@cache
def _data() -> Mapping[str, Any]:
    files = data_files()

    def build() -> Any:
        from panellint.rulepacks.compile import yaml_source

        return yaml_source.read_all(files)

    return cached("data", inputs(files.values()), build, apart=[CHECKS])


@cache
def search(name: str, key: str) -> re.Pattern[str]:
    """Returns the regular expressions under a key of a data file as one search (`core.wording`);
    `{quantity}` stands for the file's own."""
    given = data(name)
    quantity = given.get("quantity", "")
    return regex(*(words.replace("{quantity}", quantity) for words in items(given[key])))


def forget() -> None:
    """Drops what was read, so that the next `data` reads changed files again."""
    _data.cache_clear()
    data.cache_clear()
    search.cache_clear()


def data_files() -> dict[str, Path]:
    """Returns the data files by name: their path below `rules/` without its ending."""
    rules = str(rules_folder())
    paths = {}
    for folder, below, files in os.walk(rules):
        below[:] = sorted(name for name in below if folder != rules or name not in _APART)
        within = "".join(f"{part}/" for part in folder[len(rules) :].split(os.sep) if part)
        for name in sorted(files):
            stem, suffix = os.path.splitext(name)
            if suffix == ".yaml":
                paths[within + stem] = Path(folder, name)
    return paths


def inputs(files: Iterable[Path]) -> list[Path]:
    """Returns `files` and what compiles them: a change of either makes the compiled form stale."""
    here = Path(__file__).parent
    code = [*sorted((here / "compile").glob("*.py")), *sorted(here.glob("*.py"))]
    return [*files, *code]
