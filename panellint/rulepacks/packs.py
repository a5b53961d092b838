"""Rule packs as a run loads them: compiled, one file, no YAML.

Packs are the YAML files in the folders PACK_FOLDERS of `rules/`, and a user's own. They are
compiled by `panellint.rulepacks.compile` when they have changed, and only then.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from panellint.core.cache import cached, short_digest
from panellint.core.files import rules_folder
from panellint.rulepacks import data as data_files
from panellint.rulepacks import model
from panellint.rulepacks.data import CHECKS, EXPRESSIONS, PACK_FOLDERS, REQUIREMENTS, STATES, inputs
from panellint.rulepacks.parameters import Parameters


def load(own: Iterable[Path] = ()) -> dict[str, model.Rule]:
    """Returns every rule by id, in the order in which rules run: the built-in packs, then `own`.

    What a user's own pack changes or switches off is applied. Raises InputError with every fault of
    every pack.
    """
    return dict(_load(tuple(Path(path).absolute() for path in own)))


def forget() -> None:
    """Drops what was read, so that the next `load` or `data` looks at the files again."""
    _load.cache_clear()
    data_files.forget()


@lru_cache(maxsize=32)
def _load(own: tuple[Path, ...]) -> dict[str, model.Rule]:
    files = pack_files()
    used = [rules_folder() / f"{name}.yaml" for name in (CHECKS, EXPRESSIONS)]

    def build() -> Any:
        from panellint.rulepacks.compile import packs

        return packs.compile_packs(files, own)

    name = f"packs-{short_digest(own)}" if own else "packs"
    try:
        compiled: Mapping[str, Any] = cached(name, inputs([*files, *own, *used]), build)
    except OSError:
        compiled = build()
    rules = {data["id"]: _rule(data) for data in compiled["rules"]}
    for change in compiled["changes"]:
        rules[change["rule"]] = rules[change["rule"]].changed(change_of(change))
    return rules


def pack_files() -> tuple[Path, ...]:
    """Returns the built-in packs, by folder in the order of PACK_FOLDERS, then by name."""
    rules = rules_folder()
    return tuple(
        path
        for folder in PACK_FOLDERS
        for path in sorted((rules / folder).glob("*.yaml"))
        if path.name not in (REQUIREMENTS, STATES)
    )


def change_of(data: Mapping[str, Any]) -> model.Change:
    """Returns a change from its compiled form."""
    return model.Change(data.get("severity", {}), data.get("with", {}), data.get("says", {}))


def _rule(data: Mapping[str, Any]) -> model.Rule:
    examples = data["examples"]
    return model.Rule(
        id=data["id"],
        title=data["title"],
        check=data["check"],
        severity=model.severities(data["severity"], {}),
        applies=model.Applies(**{key: tuple(words) for key, words in data["applies"].items()}),
        parameters=Parameters(data["with"], (data["id"], data["path"], data["line"])),
        says=data["says"],
        because=data["because"],
        source=model.RuleSource(**data["source"]),
        examples=model.Examples(
            passes=tuple(examples["passes"]),
            fails=tuple(
                model.Failing(fail["text"], tuple(fail["marks"]), fail["says"], fail["certainty"])
                for fail in examples["fails"]
            ),
        ),
        pack=data["pack"],
        path=data["path"],
        line=data["line"],
        yields_to=tuple(data["yields_to"]),
    )
