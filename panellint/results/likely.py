"""What is likely of a label: an estimate, never a proof."""

from typing import TypedDict


class LikelyRange(TypedDict):
    """Of so many foods of a hundred with such a label, all lie from `low` to `high`; half lie
    below `middle`."""

    low: float
    middle: float
    high: float
    of: int


class LikelyPromise(TypedDict):
    """The part of the foods with such a label that keep a promise of the name, 0 to 1."""

    kept: float


class LikelyPart(TypedDict):
    """A part of the food in percent as fed, in percent of dry matter, and in percent of the
    metabolisable energy (modified Atwater; None for what has no energy)."""

    as_fed: LikelyRange | None
    dry_matter: LikelyRange | None
    energy_share: LikelyRange | None


class HelpfulQuestion(TypedDict):
    """What a maker could say, by what part of its width (0 to 1) that would narrow the likely
    range of a `part` on a `basis`, and how wide it would then be, in points."""

    ask: str
    narrows: float
    to: float
    part: str
    basis: str
