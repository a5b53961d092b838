"""Rules as a run has them: where one applies, what it says, on which ground, with examples."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from panellint.core.findings import Certainty, Severity
from panellint.rulepacks.parameters import Parameters


class LabelKind(NamedTuple):
    """What a label is, as far as it decides which rules are about it. `species` is None where
    the label does not say; `stages` and `uses` may be several, or none."""

    market: str
    edition: str
    species: str | None
    form: str
    stages: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()

    def words(self) -> tuple[tuple[str, ...], ...]:
        """Returns the words for each field of `Applies`; none where it is not known."""
        species = (self.species,) if self.species else ()
        return ((self.market,), (self.edition,), species, (self.form,), self.stages, self.uses)


class Applies(NamedTuple):
    """Where a rule applies, by the keys of `for`; an empty field means everywhere."""

    market: tuple[str, ...] = ()
    edition: tuple[str, ...] = ()
    species: tuple[str, ...] = ()
    form: tuple[str, ...] = ()
    stage: tuple[str, ...] = ()
    use: tuple[str, ...] = ()

    def is_about(self, kind: LabelKind) -> bool:
        """Returns whether such a label is meant. Where some species or life stages only are meant,
        and the label's is not known, it is not."""
        pairs = zip(self, kind.words(), strict=True)
        return all(not wanted or not set(wanted).isdisjoint(own) for wanted, own in pairs)


class RuleSource(NamedTuple):
    """The document behind a rule. `seen` is False where its text was not read first-hand,
    `confirmed` where the text in force was not, but an older or a proposed one, or an account of
    it; `practice` marks a rule of the trade. `since` and `until` are the dates from which and to
    which the text is in force, "" where they are not known, or where it still is."""

    document: str = ""
    section: str = ""
    edition: str = ""
    seen: bool = False
    practice: bool = False
    note: str = ""
    since: str = ""
    until: str = ""
    confirmed: bool = True

    def __str__(self) -> str:
        if not self.document:
            return "common practice"
        force = [
            f"in force {word} {day}"
            for word, day in (("from", self.since), ("to", self.until))
            if day
        ]
        parts = [self.document, self.section, self.edition, *force]
        text = ", ".join(part for part in parts if part)
        if self.practice:
            return f"common practice; {text}"
        if not self.seen:
            return f"{text} (text not seen first-hand)"
        return text if self.confirmed else f"{text} (the text in force was not read)"


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


class Change(NamedTuple):
    """What a settings file or a pack changes of a rule. `severity` is a mapping of certainty
    words to severity words, or one severity word for every certainty that is on."""

    severity: Mapping[str, str] | str = {}
    parameters: Mapping[str, Any] = {}
    says: Mapping[str, str] = {}


class Rule(NamedTuple):
    """One thing that is checked: what runs, where, with which thresholds, words and source.

    `severity` maps a certainty to the weight of its findings; one that is missing or None
    gives none. `says` maps an observation's case to its words, "" where there is one text. A
    finding is left out where one of a rule in `yields_to` marks words of it: the cause is one.
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
    yields_to: tuple[str, ...] = ()

    @property
    def is_on(self) -> bool:
        """Returns whether any finding can come of it."""
        return any(self.severity.values())

    def is_about(self, kind: LabelKind) -> bool:
        """Returns whether it is about such a label."""
        return self.applies.is_about(kind)

    def changed(self, change: Change) -> "Rule":
        """Returns the rule as a settings file or a user's pack wants it."""
        return self._replace(
            severity={**self.severity, **severities(change.severity, self.severity)},
            parameters=self.parameters.changed(change.parameters),
            says={**self.says, **change.says},
        )


def severities(
    words: Mapping[str, str] | str, now: Mapping[Certainty, Severity | None]
) -> dict[Certainty, Severity | None]:
    if isinstance(words, str):
        on = [certainty for certainty in Certainty if now.get(certainty)]
        words = dict.fromkeys(on or Certainty, words)
    return {
        Certainty(certainty): None if word == "off" else Severity(word)
        for certainty, word in words.items()
    }
