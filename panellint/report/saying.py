"""Figures and premises in the words of a report."""

from collections.abc import Iterable

from panellint.analysis.list_position import share
from panellint.core.numbers import half_up, number
from panellint.core.phrases import capital, listed
from panellint.output.document import Proof
from panellint.rulepacks.data import data
from panellint.shares.model import Proof as SharesProof


def premises(rests_on: Iterable[object]) -> str:
    """Returns such as "The order of the list and the guaranteed analysis"."""
    names = _names(rests_on)
    return capital(listed(names)) + " alone" * (len(names) == 1)


def resting(premises: Iterable[object]) -> str:
    """Returns such as "Rests on the order of the list."; "" for nothing."""
    names = _names(premises)
    return f"Rests on {listed(names)}." if names else ""


def _names(premises: Iterable[object]) -> list[str]:
    words = data("words/reading")["premises"]
    return [words.get(str(premise), str(premise)) for premise in premises]


def rounded(value: float | None, places: int = 1) -> str:
    """Returns a figure to at most so many places; a dash for one that is not known."""
    if value is None:
        return "–"
    return f"{half_up(value, places):,f}".removesuffix("." + "0" * places)


def percent(value: float) -> str:
    """Returns a percentage to hundredths."""
    return number(round(value, 2))


def range_words(low: float | None, high: float | None) -> str:
    """Returns a range of shares in words."""
    if low is None or high is None:
        return ""
    words = share(low, high)
    return "the label sets no limit" if words == "any share" else words


def proof_of(claim: str, proof: SharesProof) -> tuple[Proof, ...]:
    """Returns a proof of the shares as one of a document; none where it needs none."""
    if not proof.sentences:
        return ()
    return (Proof(claim, proof.sentences, resting(proof.rests_on)),)


def estimate_words(value: float) -> str:
    """Returns an estimate, never finer than it is worth."""
    return f"estimate: {'under 0.1' if value < 0.1 else rounded(value)} %"
