"""The plain data of a reading: figures and finished sentences, no markup.

Shares are in percent of the mix, all ingredients as they are put in, unless said otherwise.
"""

from __future__ import annotations

from typing import NamedTuple


class Proof(NamedTuple):
    """Why something holds: sentences to check with a pencil, and what they rest on."""

    claim: str
    sentences: tuple[str, ...]
    rests_on: str = ""


class Fact(NamedTuple):
    """One thing that the food is, in words, and by whose word."""

    what: str
    words: str
    by: str


class Need(NamedTuple):
    """One condition of a promise beside what the label allows."""

    what: str
    needs: str
    allowed: str
    verdict: str


class Promised(NamedTuple):
    """One promise of the name: `verdict` in a word or two, `words` for the reader."""

    text: str
    verdict: str
    words: str
    needs: tuple[Need, ...]
    proof: tuple[str, ...]
    rests_on: str
    title: str
    source: str


class Row(NamedTuple):
    """One entry of the declaration: `what` is its kind and origin in words.

    `place` counts from 1 in its list ("2", or "11.3" inside a group). `low` and `high` are what
    the label proves (None where no formula fits), `usual` the narrower range where small
    ingredients keep to their customary levels and guarantees are near the truth, `estimate` a
    central formula's. `marks` name the families it belongs to. `group` has members below it.
    """

    place: str
    depth: int
    name: str
    what: str
    said: tuple[str, ...]
    low: float | None
    high: float | None
    usual: tuple[float, float] | None
    estimate: float | None
    words: str
    family: str
    group: bool
    proofs: tuple[Proof, ...]


class Side(NamedTuple):
    """What is of animals, of plants, or neither, as a range over all of it."""

    title: str
    names: tuple[str, ...]
    low: float
    high: float
    usual: tuple[float, float] | None
    words: str
    proofs: tuple[Proof, ...]


class Kin(NamedTuple):
    """Ingredients of one plant or animal that are declared apart, as if they were one."""

    mark: str
    family: str
    members: tuple[str, ...]
    low: float
    high: float
    words: str


class Fresh(NamedTuple):
    """Fresh meat with its water and without: shares of the mix, and places in the list."""

    name: str
    mixed: tuple[float, float]
    dry: tuple[float, float]
    words: str


class Content(NamedTuple):
    """The declaration as a whole."""

    rows: tuple[Row, ...]
    sides: tuple[Side, ...]
    families: tuple[Kin, ...]
    fresh: tuple[Fresh, ...]
    clash: tuple[str, ...]
    notes: tuple[str, ...]


class Part(NamedTuple):
    """A part of the food on every basis: percent, percent of dry matter, g per 1000 kcal, and
    percent of the energy. `printed` is what the label says."""

    id: str
    printed: str
    as_fed: float | None
    dry_matter: float | None
    per_1000_kcal: float | None
    of_energy: float | None
    assumed: bool


class Band(NamedTuple):
    """A range, percent as fed, and what it takes for granted."""

    low: float
    high: float
    words: str


class Limit(NamedTuple):
    """A limit of the nutrient profile beside the label's figure."""

    nutrient: str
    value: str
    limit: str
    verdict: str


class Figures(NamedTuple):
    """What the guarantees come to."""

    parts: tuple[Part, ...]
    bands: tuple[Band, ...]
    energy: tuple[str, ...]
    kcal_per_kg: float | None
    carbohydrate: tuple[str, ...]
    profile: str
    limits: tuple[Limit, ...]
    corrected: bool
    profile_notes: tuple[str, ...]
    notes: tuple[str, ...]


class Starch(NamedTuple):
    """A starch, gum or sugar source: what it does there, and its human glycaemic index."""

    name: str
    does: str
    why: str
    binds_at: str
    glycaemic: str


class Nutrient(NamedTuple):
    """Where a vitamin or mineral of the profile comes from: `source` is declared, whole food,
    unlisted premix or none found."""

    name: str
    source: str
    names: tuple[str, ...]
    note: str = ""


class Said(NamedTuple):
    """A finding: its weight and certainty in words, and where on the label it stands."""

    severity: str
    certainty: str
    message: str
    place: str
    quote: str
    because: str
    proof: tuple[str, ...]
    rests_on: str
    see: tuple[str, ...]
    remedies: tuple[str, ...]
    source: str
    rule: str


class Way(NamedTuple):
    """One thing to add so that the bowl meets a target: grams for each kg of the food, part of
    the bowl and of its energy, percent; what that bowl then is."""

    added: str
    per_kg: float | None
    share: float | None
    of_energy: float | None
    then: str


class Toward(NamedTuple):
    """A target, whose it is, and the ways to it; `words` where nothing is to be done."""

    target: str
    whose: str
    ways: tuple[Way, ...]
    words: tuple[str, ...]


class Reading(NamedTuple):
    """One food, read from its label. `language` is that of the label's words."""

    name: str
    file: str
    language: str
    species: str | None
    short: tuple[str, ...]
    facts: tuple[Fact, ...]
    promises: tuple[Promised, ...]
    promises_note: str
    content: Content
    figures: Figures
    starches: tuple[Starch, ...]
    nutrients: tuple[Nutrient, ...]
    cat: tuple[Nutrient, ...]
    nutrients_note: str
    hazards: tuple[Said, ...]
    doubtful: tuple[Said, ...]
    toward: tuple[Toward, ...]
    toward_note: str
    findings: tuple[Said, ...]
    waived: tuple[Said, ...]
    sources: tuple[str, ...]
