"""`panellint.yaml`: which rules apply to the labels in its folder, and how much they weigh.

The file is looked for from the panel file's folder upwards; the first one found counts, alone.
What a command says goes before what the label says, and that before the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from panellint.core.cache import cached, key_of, short_digest
from panellint.core.errors import Fault, InputError, unreadable
from panellint.core.findings import Severity
from panellint.rulepacks import packs
from panellint.rulepacks.data import data, inputs
from panellint.rulepacks.model import Change, LabelKind, Rule

FILE_NAME = "panellint.yaml"


@dataclass(frozen=True)
class Settings:
    """How labels are linted. Make one with `for_path` or
    `of_file`; without a file it holds what is usual.

    `market` is the file's; `chosen_market` the command's, which goes before the label's own.
    `editions` maps a market to the edition of its text. `packs` and `ingredients` are a user's own
    files, as absolute paths; `changes` what the file changes of each rule. `ignore` are globs of
    panel files to leave out, in gitignore's syntax, for what lies below the file. `fail_at` is
    None where no finding fails a run. `rule_pages` is the URL of the pages that explain the
    rules, or "". `largest_file` is the size in bytes over which no label is read. `locked` are the
    rules that neither a label waives nor a settings file below changes; those of files above are
    among them, with what these say of the rules. `longest_waiver` is in days. `baseline` is the
    file of known findings, or "". `source` is what labels that do not say so were read off ("web
    page"). `path` is the file itself, or "" for the defaults.
    """

    market: str | None = None
    chosen_market: str | None = None
    editions: Mapping[str, str] = field(default_factory=dict)
    language: str | None = None
    packs: tuple[Path, ...] = ()
    ingredients: tuple[Path, ...] = ()
    changes: Mapping[str, Change] = field(default_factory=dict)
    fail_at: Severity | None = Severity.WARNING
    ignore: tuple[str, ...] = ()
    rule_pages: str = ""
    largest_file: int | None = None
    locked: frozenset[str] = frozenset()
    longest_waiver: int | None = None
    baseline: str = ""
    source: str | None = None
    path: str = ""

    @classmethod
    def for_path(cls, path: str | Path) -> Settings:
        """Returns the settings for a panel file, or for the labels of a folder.

        `-` (standard input) takes those of the working folder. Raises InputError with every fault
        of the file.
        """
        file = find(Path.cwd() if str(path) == "-" else Path(path))
        return cls.of_file(file) if file else cls()

    @classmethod
    def of_file(cls, path: str | Path) -> Settings:
        """Returns the settings that one file holds. Raises InputError with every fault of it."""
        absolute = Path(path).absolute()
        try:
            above = _above(absolute)
            return _settings(absolute, above, key_of([absolute, *above]))
        except OSError as error:
            raise unreadable(path, error) from None

    def with_market(self, market: str | None, edition: str | None = None) -> Settings:
        """Returns the same for a market that the command names; None leaves it as it is.

        Raises InputError for a market or an edition that is not known.
        """
        if market is None and edition is None:
            return self
        chosen = market_called(market) if market else self.chosen_market
        editions = dict(self.editions)
        if market and chosen is None:
            raise _no_such("market", market, _markets())
        if edition is not None:
            of = chosen or self.market or usual_market()
            if edition not in _markets()[of]["editions"]:
                raise _no_such(f"edition of {of}", edition, _markets()[of]["editions"])
            editions[of] = edition
        return replace(self, chosen_market=chosen, editions=editions)

    def market_for(self, printed: str | None = None) -> str:
        """Returns the market of a label: the one that is named, else the usual one."""
        return self.named_market(printed) or usual_market()

    def named_market(self, printed: str | None) -> str | None:
        """Returns the market that the command, the label or the settings file names, the first of
        these that does; None where none does.

        `printed` is what the label says, in any case, of several markets the first; one that is not
        known is passed over.
        """
        markets = markets_in(printed or "")
        return self.chosen_market or (markets[0] if markets else self.market)

    def edition_for(self, market: str) -> str:
        """Returns the edition of a market's text that counts."""
        return self.editions.get(market) or editions(market)[0]

    @property
    def most_bytes(self) -> int:
        """Returns the size of the largest label that is read."""
        return self.largest_file or int(data("data/inputs")["largest-label-bytes"])

    @property
    def own_files(self) -> tuple[Path, ...]:
        """Returns the files that the settings name: a label is judged anew when one changes."""
        return (*self.packs, *self.ingredients)

    def page_of(self, rule: str) -> str:
        """Returns the URL of the page that explains a rule; "" where no pages are named."""
        return f"{self.rule_pages.rstrip('/')}/rules/{rule}.html" if self.rule_pages else ""

    @cached_property
    def rules(self) -> Mapping[str, Rule]:
        """Returns every rule by id in the order in which they run, as these settings have them."""
        rules = packs.load(self.packs)
        for name, change in self.changes.items():
            rules[name] = rules[name].changed(change)
        return rules

    def rules_about(self, kind: LabelKind) -> tuple[Rule, ...]:
        """Returns the rules that can find something in a label of this kind, in their order."""
        if kind not in self._by_kind:
            rules = self.rules.values()
            self._by_kind[kind] = tuple(
                rule for rule in rules if rule.is_on and rule.is_about(kind)
            )
        return self._by_kind[kind]

    @cached_property
    def _by_kind(self) -> dict[LabelKind, tuple[Rule, ...]]:
        """Returns the rules for each kind of label that was met. Without it a quick lint takes 5 %
        longer, since the labels of a brand are of few kinds."""
        return {}


def find(path: Path) -> Path | None:
    """Returns the settings file for a panel file or a folder: the nearest one upwards."""
    start = path.absolute()
    for folder in (start, *start.parents):
        candidate = folder / FILE_NAME
        if candidate.is_file():
            return candidate
    return None


def _above(path: Path) -> tuple[Path, ...]:
    """Returns the settings files above one, the nearest first; they may lock rules."""
    folders = path.parent.parents
    return tuple(file for folder in folders if (file := folder / FILE_NAME).is_file())


def settings_files(path: str | Path) -> tuple[Path, ...]:
    """Returns the settings files that reach a panel file: its own, and those above that may lock
    rules."""
    own = find(Path(path))
    return (own, *_above(own)) if own else ()


def usual_market() -> str:
    """Returns the market that is taken where nobody names one."""
    return str(data("markets")["usual"])


def market_title(market: str) -> str:
    """Returns a market's name."""
    return str(_markets()[market]["title"])


def the_market(market: str) -> str:
    """Returns a market's name as a sentence has it: "the United States", "Canada"."""
    return market_title(market) if market == "ca" else f"the {market_title(market)}"


def market_called(words: str) -> str | None:
    """Returns the id of the market that is called so in any case ("GB", "Deutschland"), or None."""
    name, country = words.strip().rstrip(".").casefold(), country_called(words)
    markets = (
        market
        for market in _markets().values()
        if name in (market["id"], *market["called"]) or country in market.get("countries", ())
    )
    return next((str(row["id"]) for row in markets), None)


def country_called(words: str) -> Mapping[str, list[str]] | None:
    """Returns the country of a market that is called so, with those of its official languages that
    are read (`languages`), or None."""
    name = words.strip().rstrip(".").casefold()
    countries = (row for market in _markets().values() for row in market.get("countries", ()))
    return next((row for row in countries if name in row["called"]), None)


def markets() -> tuple[str, ...]:
    """Returns the ids of the markets that rules are known for."""
    return tuple(_markets())


def markets_in(text: str) -> tuple[str, ...]:
    """Returns the known markets of a list such as "US, GB"; () where any of its words is none."""
    words = [word for word in re.split(r"[,;/&+]|\band\b", text) if word.strip()]
    known = [market_called(word) for word in words]
    return () if None in known else tuple(dict.fromkeys(market for market in known if market))


def editions(market: str) -> tuple[str, ...]:
    """Returns the editions of a market's text, the usual one first."""
    return tuple(_markets()[market]["editions"])


def order_readings(market: str) -> str:
    """Returns what weights the order of a list may go by in a market, in words; "" where that is
    the weight as mixed alone."""
    return " ".join(_markets()[market].get("order-readings", "").split())


def forget() -> None:
    """Drops settings and packs, so that the files are looked at again."""
    _settings.cache_clear()
    packs.forget()


@lru_cache(maxsize=256)
def _settings(path: Path, above: tuple[Path, ...], key: str) -> Settings:
    """Returns the settings of a file below others; `key` changes with them, so that it is read
    again."""

    def build() -> Any:
        from panellint.rulepacks.compile import settings

        return settings.compile_settings(path)

    name = f"settings-{short_digest([path])}"
    data = cached(name, inputs([path, *packs.pack_files()]), build)
    own = tuple(Path(pack) for pack in data["packs"])
    changes = {name: packs.change_of(change) for name, change in data["rules"].items()}
    if not changes.keys() <= packs.load(own).keys():
        build()  # raises: a pack of the user's changed under a settings file that did not
    over = Settings.of_file(above[0]) if above else Settings()
    if faults := [
        Fault(str(path), line, None, f"rule `{name}` is locked by {above[0]}")
        for name, line in data["changed"].items()
        if name in over.locked
    ]:
        raise InputError(*faults)
    changes |= {name: change for name, change in over.changes.items() if name in over.locked}
    return Settings(
        market=data["market"],
        editions=data["edition"],
        language=data["language"],
        packs=own,
        ingredients=tuple(Path(file) for file in data["ingredients"]),
        changes=changes,
        fail_at=None if data["fail_at"] == "never" else Severity(data["fail_at"]),
        ignore=tuple(data["ignore"]),
        rule_pages=data["rule_pages"],
        largest_file=data["largest_file"],
        locked=over.locked | frozenset(data["locked"]),
        # A file below another that says one too cannot make it longer.
        longest_waiver=min(
            filter(None, (over.longest_waiver, data["longest_waiver"])), default=None
        ),
        baseline=data["baseline"],
        source=data["source"],
        path=str(path),
    )


def _markets() -> dict[str, Any]:
    return {market["id"]: market for market in data("markets")["markets"]}


def _no_such(what: str, word: str, words: Iterable[str]) -> InputError:
    from panellint.core.phrases import listed, nearest

    known = list(words)
    near = nearest(word, known)
    expected = f"`{near}`" if near else listed(known, "or")
    return InputError(Fault("command", None, None, f"unknown {what} `{word}`", expected))
