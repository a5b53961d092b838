"""What `release` answers: which labels of a repository may go to print, and on what that rests."""

from typing import TypedDict

from panellint.results.batch import MassBalance


class JudgedFile(TypedDict):
    """A file that was judged, its digest, and what it is: label, sheet, settings, pack or
    ingredients."""

    path: str
    kind: str
    sha256: str


class Reason(TypedDict):
    """Why a label may not go to print, or what is to be looked at before: in which market (None
    where it was judged in none), under which question (weights, name, claims, adequacy,
    guarantees, additives, requirements, label), by which rule, how grave, and where, with the
    `arithmetic` (None where it holds weights and these were not asked for)."""

    market: str | None
    question: str
    rule: str
    severity: str
    message: str
    line: int | None
    column: int | None
    arithmetic: list[str] | None


class QuestionState(TypedDict):
    """How one question stands in one market: in order, departs or to look at, and how many reasons
    stand against it."""

    question: str
    state: str
    reasons: int


class MarketState(TypedDict):
    """A market that the label is sold in: its edition, the questions, and how many of its
    requirements stand in each state."""

    market: str
    edition: str
    questions: list[QuestionState]
    requirements: dict[str, int]


class Price(TypedDict):
    """The cost of a kg of the mix and of the finished food, in the currency of the sheet; `before`
    is that of the mix at the revision that was asked for."""

    mix: float
    food: float | None
    before: float | None


class WeighedLine(TypedDict):
    """A line of the sheet, in percent of the mix; only where weights were asked for."""

    name: str
    percent: float


class ReleasedLabel(TypedDict, total=False):
    """One label: `verdict` is may print, may not print or not judged (for want of a sheet, or of
    one that can be used; `sheet` is None where it names none); `why` are the reasons against it,
    `look_at` what does not keep it from print, `balance` the mass balance per 100 kg of the mix
    (None where it is not known), which holds no weight of an ingredient. `weights` is there only
    where asked for."""

    path: str
    product: str
    verdict: str
    why: list[Reason]
    look_at: list[Reason]
    waived: list[str]
    sheet: str | None
    markets: list[MarketState]
    balance: MassBalance | None
    price: Price | None
    files: list[JudgedFile]
    weights: list[WeighedLine]


class Program(TypedDict):
    """What judged: the version of this program, and the digest of its rules."""

    version: str
    rules: str


class Release(TypedDict):
    """The dossier of a run: the day, the revision since which labels were looked at (None: all),
    the labels, and how many of them stand where."""

    day: str
    since: str | None
    program: Program
    labels: list[ReleasedLabel]
    unchanged: list[str]
    summary: dict[str, int]
    caution: str
