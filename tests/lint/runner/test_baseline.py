import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core.errors import InputError
from panellint.core.findings import Certainty, FileFindings, Finding, Severity
from panellint.core.source import Source, Span
from panellint.lint.runner.baseline import Baseline
from panellint.lint.runner.results import Checked


def checked(path: str, text: str, *marked: str) -> Checked:
    findings = [
        Finding(
            "split-family",
            Severity.WARNING,
            Certainty.PRACTICE,
            f"{words} is split",
            Span(text.index(words), text.index(words) + len(words)),
        )
        for words in marked
    ]
    Path(path).parent.mkdir(exist_ok=True)
    Path(path).write_text(text)
    return Checked(path, FileFindings(Source(text, path), tuple(findings)))


def left(baseline: Baseline, one: Checked) -> list[str]:
    result = baseline.without_known(one).result
    assert result is not None
    return [result.source.slice(finding.span) for finding in result.findings]


@pytest.fixture
def baseline(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    made = Baseline("known.json")
    made.take(checked("labels/a.panel", "Ingredients: peas,\npea fibre\n", "peas", "pea fibre"))
    made.take(checked("labels/b.panel", "rice", "rice"))
    Path("known.json").write_text(made.text())
    return Baseline.of_file("known.json")


def test_known_findings_are_left_out_and_new_ones_stay(baseline):
    moved = checked(
        "labels/a.panel",
        "Species: dog\nIngredients: peas,\n  pea fibre\nrice, bran",
        "peas",
        "pea fibre",
        "bran",
    )
    assert left(baseline, moved) == ["bran"]
    assert baseline.known == 2
    assert list(baseline.no_longer_needed()) == []


def test_the_same_finding_twice_is_known_once(baseline):
    one = checked("labels/b.panel", "rice", "rice", "rice")
    assert left(baseline, one) == ["rice"]


def test_what_is_no_longer_needed(baseline):
    assert left(baseline, checked("labels/a.panel", "Ingredients: peas,\n", "peas")) == []
    assert [(label, entry.text) for label, entry in baseline.no_longer_needed()] == [
        ("labels/a.panel", "pea fibre")
    ]
    Path("labels/b.panel").unlink()
    assert [label for label, _ in baseline.no_longer_needed()] == [
        "labels/a.panel",
        "labels/b.panel",
    ]


def test_a_label_that_was_not_looked_at_keeps_its_entries(baseline):
    baseline.take(checked("labels/a.panel", "duck"))
    again = json.loads(baseline.text())
    assert list(again["labels"]) == ["labels/b.panel"]
    assert baseline.count() == (1, 1)


def test_paths_count_from_the_folder_of_the_baseline(baseline, monkeypatch):
    one = checked("labels/b.panel", "rice", "rice")
    monkeypatch.chdir("labels")
    other = Baseline.of_file("../known.json")
    result = other.without_known(Checked("b.panel", one.result)).result
    assert result is not None
    assert result.findings == ()


def test_it_reads_the_same_however_it_was_made(baseline):
    text = Path("known.json").read_text()
    assert baseline.text() == text
    data = json.loads(text)
    entry = data["labels"]["labels/a.panel"][1]
    assert (entry["rule"], entry["text"]) == ("split-family", "pea fibre")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("{", r"known\.json:1:2: no JSON"),
        ("[]", r"`baseline` is missing or unknown \(expected \"baseline\": 2\)"),
        ('{"baseline": 3}', "`baseline` is missing or unknown"),
        ('{"baseline": 2}', "`labels` is missing or no object"),
        ('{"baseline": 2, "labels": {"a": 3}}', r"`labels\['a'\]` is no list"),
        (
            '{"baseline": 2, "labels": {"a": [{"rule": "x"}]}}',
            r"`labels\['a'\]\[0\]` is no finding",
        ),
    ],
)
def test_a_faulty_baseline_is_told(baseline, text, message):
    Path("known.json").write_text(text)
    with pytest.raises(InputError, match=message):
        Baseline.of_file("known.json")


def test_an_edit_elsewhere_on_the_line_revives_nothing(baseline):
    edited = checked(
        "labels/a.panel", "Ingredients: salt, peas,\nbran, pea fibre\n", "peas", "pea fibre"
    )
    assert left(baseline, edited) == []


def test_a_list_that_is_marked_whole_may_grow(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = "Ingredients: duck, millet, pumpkin, hemp seed, dried egg"
    known = Baseline("known.json")
    known.take(checked("labels/a.panel", words, words))
    longer = checked("labels/a.panel", f"{words}, salt", f"{words}, salt")
    assert left(known, longer) == []


def test_a_label_that_was_moved_keeps_what_was_known(baseline):
    Path("labels/a.panel").rename("labels/c.panel")
    moved = checked("labels/c.panel", "Ingredients: peas,\npea fibre\nrice", "peas", "pea fibre")
    assert left(baseline, moved) == []
    assert list(json.loads(baseline.text())["labels"]) == ["labels/b.panel", "labels/c.panel"]


def test_the_settings_name_the_baseline(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("panellint.yaml").write_text("baseline: known.json\n")
    Path("a.panel").write_text("Market: US\nIngredients: duck, xylitol\n")
    run = CliRunner()
    assert run.invoke(cli, ["lint", "."]).exit_code == 1
    assert run.invoke(cli, ["lint", ".", "--write-baseline"]).exit_code == 0
    assert Path("known.json").exists()
    assert run.invoke(cli, ["lint", "."]).exit_code == 0
