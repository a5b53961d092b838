"""What each market asks of a label, and the rules that settle each requirement.

They are the files `requirements.yaml` beside a market's packs, compiled when they have changed.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from panellint.core.cache import cached
from panellint.core.errors import Fault, InputError
from panellint.core.files import rules_folder
from panellint.core.findings import State
from panellint.core.phrases import listed
from panellint.core.text import fold
from panellint.rulepacks import packs
from panellint.rulepacks.data import REQUIREMENTS, STATES, data, data_files, inputs
from panellint.rulepacks.model import Applies, RuleSource
from panellint.rulepacks.settings import markets

#: Where the words of each language stand, a file each.
WORDING = "words/requirements"


class Requirement(NamedTuple):
    """One thing that a market asks of a label, in the `part` of its sheet.

    `rules` settle it; where they see nothing, it stands as `otherwise` says (None: not read).
    `shows` are kinds of section any of which is what is asked. `within` is what must be there
    for a prohibition to be looked into: label, declaration, guarantees or additives. Outside
    `applies`, for `except_uses`, and without a statement of `routes` where there are any, it is
    not due.
    `settles` says what decides it where the text leaves it open, `change` what to do where it is
    not met. `source` is None where it is that
    of the first rule.
    """

    id: str
    part: str
    what: str
    rules: tuple[str, ...]
    shows: tuple[str, ...]
    otherwise: State | None
    within: str
    visible: bool
    settles: str
    change: str
    applies: Applies
    except_uses: tuple[str, ...]
    routes: tuple[str, ...]
    source: RuleSource | None


class StateClause(NamedTuple):
    """A state's own text for a requirement; `differs` says what it asks otherwise, or ""."""

    source: RuleSource
    differs: str


class StateText(NamedTuple):
    """What a state, with its postal `code`, has enacted: the edition, when (`adopted`), what of it
    was not read (`unknown`), and its clauses by requirement."""

    id: str
    code: str
    title: str
    edition: str
    adopted: str
    unknown: str
    clauses: Mapping[str, StateClause]


def state_text(name: str) -> StateText:
    """Returns what a state has enacted, by its name, id or postal code in any case.

    Raises InputError, with the states that are known, for another name.
    """
    for row in _compiled()["states"]:
        if fold(name) in map(fold, (row["id"], row["title"], row["code"])):
            clauses = {
                of: StateClause(RuleSource(**clause["source"]), clause["differs"])
                for of, clause in row["clauses"].items()
            }
            return StateText(**{**row, "clauses": clauses})
    known = listed((row["title"] for row in _compiled()["states"]), "or")
    raise InputError(Fault("command", None, None, f"no text of the state `{name}` was read", known))


def requirements(market: str, language: str = "en") -> tuple[Requirement, ...]:
    """Returns what a market asks, in the order of its sheet, in the words of a language.

    Raises KeyError for another market, InputError for a language in which it was not put.
    """
    rows, name = _load()[market], f"{WORDING}/{language}"
    words = data(name) if name in data_files() else {"asked": {}}
    asked = words.get("asked", {row.id: row.what for row in rows})
    if not asked.keys() >= {row.id for row in rows}:
        fault = f"what is asked in the market {market} was not put in the language `{language}`"
        known = "en; in the European Union and the United Kingdom de, fr, it, es, nl"
        raise InputError(Fault("command", None, None, fault, known))
    parts = words.get("parts", {})
    return tuple(
        row._replace(what=asked[row.id], part=parts.get(row.part, row.part)) for row in rows
    )


@cache
def _compiled() -> Mapping[str, Any]:
    files = {market: rules_folder() / market / REQUIREMENTS for market in markets()}
    states = rules_folder() / "us" / STATES

    def build() -> Any:
        from panellint.rulepacks.compile.requirements import compile_requirements

        return compile_requirements(files, states, packs.load())

    read = [*files.values(), states, *packs.pack_files()]
    return cached("requirements", inputs(read), build)


@cache
def _load() -> Mapping[str, tuple[Requirement, ...]]:
    compiled = {market: _compiled()[market] for market in markets()}
    own = {market: tuple(map(_requirement, sheet["rows"])) for market, sheet in compiled.items()}
    return {
        market: (*_taken(own.get(compiled[market]["as_in"], ()), market), *own[market])
        for market in own
    }


def _taken(rows: Iterable[Requirement], market: str) -> Iterator[Requirement]:
    """Yields what a market asks as another does: not what only rules of the other settle."""
    rules = packs.load()
    for row in rows:
        about = [rules[name].applies.market for name in row.rules]
        if not about or any(not markets or market in markets for markets in about):
            yield row


def _requirement(row: Mapping[str, Any]) -> Requirement:
    texts = {key: tuple(row[key]) for key in ("rules", "shows", "except_uses", "routes")}
    applies = {key: tuple(words) for key, words in row["applies"].items()}
    return Requirement(
        **{
            **row,
            **texts,
            "otherwise": State(row["otherwise"]) if row["otherwise"] else None,
            "applies": Applies(**applies),
            "source": RuleSource(**row["source"]) if row["source"] else None,
        }
    )
