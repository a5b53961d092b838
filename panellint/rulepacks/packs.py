"""Rules and their data, as a run loads them: compiled packs, one file, no YAML.

Packs are the YAML files in `rules/us`, `rules/eu`, `rules/uk`, `rules/ca` and
`rules/practice` that start a `pack:`, and a user's own. All other YAML below `rules/`, but for
the catalogue, is data, read with `data`. Both are compiled by `panellint.rulepacks.compile` when
they have changed, and only then.
"""

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from panellint.core import paths
from panellint.core.errors import Fault, InputError
from panellint.core.findings import Certainty, Severity
from panellint.core.patterns import Words, pattern

#: The folders of `rules/` that hold packs, in the order in which their rules run.
PACK_FOLDERS = ("us", "eu", "uk", "ca", "practice")
#: Folders of `rules/` with a compiled form of their own.
APART = ("ingredients",)


T = TypeVar("T")


class Applies(NamedTuple):
    """Where a rule applies; an empty field means everywhere."""

    markets: tuple[str, ...] = ()
    editions: tuple[str, ...] = ()
    species: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()


class LabelKind(NamedTuple):
    """What a label is, as far as it decides which rules are about it. `species` is None where
    the label does not say; `stages` and `uses` may be several, or none."""

    market: str
    edition: str
    species: str | None
    form: str
    stages: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()


class RuleSource(NamedTuple):
    """The document behind a rule. `seen` is False where its text was not read first-hand;
    `practice` marks a rule of the trade."""

    document: str = ""
    section: str = ""
    edition: str = ""
    seen: bool = False
    practice: bool = False
    note: str = ""

    def __str__(self) -> str:
        if not self.document:
            return "common practice"
        parts = [self.document, self.section, self.edition]
        text = ", ".join(part for part in parts if part)
        if self.practice:
            return f"common practice; {text}"
        return text if self.seen else f"{text} (text not seen first-hand)"


class Failing(NamedTuple):
    """An example that a rule must find fault with.

    `marks` are the words that its findings must mark, in the order of the text; `says` a
    part of the first one's message, `certainty` how sure it must be (each "" for any).
    """

    text: str
    marks: tuple[str, ...]
    says: str = ""
    certainty: str = ""


class Examples(NamedTuple):
    """Panel texts that a rule must leave alone, and such that it must find fault with."""

    passes: tuple[str, ...] = ()
    fails: tuple[Failing, ...] = ()


class Parameters(Mapping[str, Any]):
    """A rule's parameters: a mapping that blames the pack where one is missing or wrong."""

    __slots__ = ("_made", "_patterns", "_values", "_where")

    def __init__(self, values: Mapping[str, Any], where: tuple[str, str, int] = ("", "", 0)):
        self._values = dict(values)
        self._where = where
        self._made: dict[tuple[str, Callable[..., Any]], Any] = {}
        self._patterns: dict[str, Words] = {}

    def __getitem__(self, key: str) -> Any:
        if key not in self._values:
            raise self._fault(f"parameter `{key}` is missing", "")
        return self._values[key]

    def __contains__(self, key: object) -> bool:
        return key in self._values

    def get(self, key: str, default: Any = None) -> Any:
        """The parameter, or `default` where the rule does not give it."""
        return self._values.get(key, default)

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __repr__(self) -> str:
        return f"Parameters({self._values!r})"

    def number(self, key: str) -> float:
        """A number. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            value = self[key]
            raise self._fault(f"parameter `{key}` is {value!r}", "a number")
        return value

    def text(self, key: str) -> str:
        """A text. Raises InputError, at the rule, where it is missing or none."""
        value = self._values.get(key)
        if not isinstance(value, str):
            value = self[key]
            raise self._fault(f"parameter `{key}` is {value!r}", "a text")
        return value

    def words(self, key: str) -> tuple[str, ...]:
        """A list of texts; one text is a list of one. Raises InputError as `text` does."""
        made = self._made.get((key, tuple))
        if made is None:
            value = self[key]
            found = [value] if isinstance(value, str) else value
            if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
                raise self._fault(f"parameter `{key}` is {value!r}", "a list of texts")
            made = self._made[key, tuple] = tuple(found)
        words: tuple[str, ...] = made
        return words

    def pattern(self, key: str) -> Words:
        """A list of regular expressions as one, made once. Raises InputError as `text` does."""
        found = self._patterns.get(key)
        if found is None:
            found = self._patterns[key] = pattern(*self.words(key))
        return found

    def made(self, key: str, make: Callable[[Any, str], T]) -> T:
        """What `make` makes of a parameter and the pack's path, made once: what a rule looks
        for is the same for every label. Raises InputError where the parameter is missing."""
        found = self._made.get((key, make))
        if found is None:
            found = self._made[key, make] = make(self[key], self._where[1])
        made: T = found
        return made

    def changed(self, values: Mapping[str, Any]) -> "Parameters":
        """The same with other values for some."""
        return Parameters({**self._values, **values}, self._where)

    def _fault(self, message: str, expected: str) -> InputError:
        rule, path, line = self._where
        return InputError(Fault(path, line or None, None, f"rule `{rule}`: {message}", expected))


class Rule(NamedTuple):
    """One thing that is checked: what runs, where, with which thresholds, words and source.

    `severity` maps a certainty to the weight of its findings; one that is missing or None
    gives none. `says` maps an observation's case to its words, "" where there is one text.
    """

    id: str
    title: str
    check: str
    severity: Mapping[Certainty, Severity | None]
    applies: Applies
    parameters: Parameters
    says: Mapping[str, str]
    because: str
    source: RuleSource
    examples: Examples
    pack: str
    path: str = ""
    line: int = 0

    @property
    def is_on(self) -> bool:
        """Whether any finding can come of it."""
        return any(self.severity.values())

    def is_about(self, kind: LabelKind) -> bool:
        """Whether it is about such a label. Where it is about some species or life stages only,
        and the label's is not known, it is not."""
        to = self.applies
        return (
            (not to.markets or kind.market in to.markets)
            and (not to.editions or kind.edition in to.editions)
            and (not to.species or kind.species in to.species)
            and (not to.forms or kind.form in to.forms)
            and (not to.stages or not set(to.stages).isdisjoint(kind.stages))
            and (not to.uses or not set(to.uses).isdisjoint(kind.uses))
        )

    def changed(self, change: "Change") -> "Rule":
        """The rule as a settings file or a user's pack wants it."""
        return self._replace(
            severity={**self.severity, **_severities(change.severity, self.severity)},
            parameters=self.parameters.changed(change.parameters),
            says={**self.says, **change.says},
        )


class Change(NamedTuple):
    """What a settings file or a pack changes of a rule. `severity` is a mapping of certainty
    words to severity words, or one severity word for every certainty that is on."""

    severity: Mapping[str, str] | str = {}
    parameters: Mapping[str, Any] = {}
    says: Mapping[str, str] = {}


OFF = Change(severity="off")


def _severities(
    words: Mapping[str, str] | str, now: Mapping[Certainty, Severity | None]
) -> dict[Certainty, Severity | None]:
    if isinstance(words, str):
        on = [certainty for certainty in Certainty if now.get(certainty)]
        words = dict.fromkeys(on or Certainty, words)
    return {
        Certainty(certainty): None if word == "off" else Severity(word)
        for certainty, word in words.items()
    }


def load(own: Iterable[Path] = ()) -> dict[str, Rule]:
    """Every rule by id, in the order in which rules run: the built-in packs, then `own`.

    What a user's own pack changes or switches off is applied. Raises InputError with every
    fault of every pack.
    """
    return dict(_load(tuple(Path(path).absolute() for path in own)))


def forget() -> None:
    """Let go of what was read, so that the next `load` or `data` looks at the files again."""
    _load.cache_clear()
    _data.cache_clear()


@lru_cache(maxsize=32)
def _load(own: tuple[Path, ...]) -> dict[str, Rule]:
    files = pack_files()

    def build() -> Any:
        from panellint.rulepacks.compile import packs

        return packs.compile_packs(files, own)

    name = f"packs{name_of(own)}" if own else "packs"
    try:
        compiled = paths.cached(name, inputs([*files, *own]), build)
    except OSError:
        compiled = build()
    rules = {data["id"]: _rule(data) for data in compiled["rules"]}
    for change in compiled["changes"]:
        rules[change["rule"]] = rules[change["rule"]].changed(change_of(change))
    return rules


def data(name: str) -> Any:
    """What `rules/<name>.yaml` holds, as JSON has it: `data("nutrients/nutrients")`.

    It is shared: treat it as read-only. Raises KeyError where there is no such file, and
    InputError with every fault where one of the data files is no good YAML.
    """
    return _data()[name]


@cache
def _data() -> Any:
    files = data_files()

    def build() -> Any:
        from panellint.rulepacks.compile import packs, yaml_source

        return yaml_source.read_all(
            {name: path for name, path in files.items() if not packs.is_pack(path)}
        )

    return paths.cached("data", inputs(files.values()), build)


def pack_files() -> tuple[Path, ...]:
    """The files where built-in packs can be, by folder in the order of PACK_FOLDERS, then by
    name. `packing` passes over those that are data."""
    rules = paths.rules_folder()
    return tuple(
        path for folder in PACK_FOLDERS for path in sorted((rules / folder).glob("*.yaml"))
    )


def data_files() -> dict[str, Path]:
    """The files where data can be, by name: all below `rules/` that are not kept apart."""
    rules = str(paths.rules_folder())
    found = {}
    for folder, below, files in os.walk(rules):
        below[:] = sorted(name for name in below if folder != rules or name not in APART)
        within = "".join(f"{part}/" for part in folder[len(rules) :].split(os.sep) if part)
        for name in sorted(files):
            stem, suffix = os.path.splitext(name)
            if suffix == ".yaml":
                found[within + stem] = Path(folder, name)
    return found


def inputs(files: Iterable[Path]) -> list[Path]:
    """`files` and what compiles them: a change of either makes the compiled form stale."""
    here = Path(__file__).parent
    code = [*sorted((here / "compile").glob("*.py")), here / "registry.py", here / "packs.py"]
    return [*files, *code]


def name_of(paths: Iterable[Path]) -> str:
    """A short name for a set of files, for their cache file."""
    text = "\n".join(str(path) for path in paths)
    return "-" + hashlib.blake2b(text.encode(errors="surrogateescape"), digest_size=8).hexdigest()


def change_of(data: Mapping[str, Any]) -> Change:
    """A change from its compiled form."""
    return Change(data.get("severity", {}), data.get("with", {}), data.get("says", {}))


def _rule(data: Mapping[str, Any]) -> Rule:
    examples = data["examples"]
    return Rule(
        id=data["id"],
        title=data["title"],
        check=data["check"],
        severity=_severities(data["severity"], {}),
        applies=Applies(**{key: tuple(words) for key, words in data["applies"].items()}),
        parameters=Parameters(data["with"], (data["id"], data["path"], data["line"])),
        says=data["says"],
        because=data["because"],
        source=RuleSource(**data["source"]),
        examples=Examples(
            passes=tuple(examples["passes"]),
            fails=tuple(
                Failing(one["text"], tuple(one["marks"]), one["says"], one["certainty"])
                for one in examples["fails"]
            ),
        ),
        pack=data["pack"],
        path=data["path"],
        line=data["line"],
    )
