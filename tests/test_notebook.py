"""The README's notebook, run cell by cell."""

import re
from pathlib import Path

import pytest

from panellint import api
from panellint.output import notebook

pandas = pytest.importorskip("pandas")
README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")


def test_the_cells_of_the_readme_run(tmp_path):
    cells = next(
        one for one in re.findall(r"```python\n(.*?)```", README, re.DOTALL) if "notebook" in one
    )
    *before, frame, plot = cells.strip().splitlines()
    known: dict[str, object] = {}
    exec("\n".join(before), known)
    table = eval(frame, known)
    assert list(table["name"]) == ["duck", "millet", "peas", "salt"]
    assert (table["low"] <= table["likely.low"]).all()
    assert (table["likely.high"] <= table["high"]).all()
    figure = eval(plot, known)
    figure.savefig(tmp_path / "shares.svg")
    assert "millet" in (tmp_path / "shares.svg").read_text() or figure.axes
    assert [one.get_text() for one in figure.axes[0].get_yticklabels()] == list(table["name"])


def test_other_answers_have_rows_too():
    text = "Ingredients: duck, milet, salt\nGuaranteed analysis\nCrude protein (min) 26 %\n"
    assert "rule" in notebook.to_frame(api.lint(text))
    assert notebook.to_frame(api.outline(text))["known_as"].tolist()[:1] == ["duck"]
    assert "dry_matter" in notebook.to_frame(api.nutrition(text))
    with pytest.raises(ValueError, match="none of"):
        notebook.to_frame(api.rule("calorie-line"))
