"""Under every marked word of a label stands the finding itself: rule, reason and source."""

from pathlib import Path

import pytest

from panellint.core.source import Positions, read
from panellint.server.answers import Answers, Question

CORPUS = Path(__file__).parents[2] / "corpus"
#: How many findings a hover shows at most.
SHOWN = 3


@pytest.mark.parametrize(
    "name",
    [
        "beef-loaf-moisture-and-calories",
        "chicken-swapped-guarantees",
        "duck-kibble-eu-faulty",
        "lamb-guarantees-missing",
        "misspelt-kibble",
        "words-treat",
    ],
)
def test_a_hover_names_the_rules_that_mark_the_place(name: str) -> None:
    path = CORPUS / f"{name}.panel"
    source = read(str(path))
    answers = Answers()
    question = Question(source.text, str(path), path.as_uri(), "utf-32", True)
    found = answers.lint(question)["diagnostics"]
    assert found
    positions = Positions(source, "utf-32")
    for one in found:
        start, end = (
            positions.offset(one["range"][end]["line"], one["range"][end]["character"])
            for end in ("start", "end")
        )
        if start == end:
            continue
        markdown = answers.hover(question, start)["markdown"]
        here = sum(other["range"]["start"] == one["range"]["start"] for other in found)
        assert one["code"] in markdown or here > SHOWN, (one["code"], markdown)
        assert "*Source:*" in markdown or not one["data"]["source"]
