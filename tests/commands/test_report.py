"""`panellint report`: forms, places, faults."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from panellint.cli import cli
from panellint.output.render_options import CAUTION

CORPUS = Path(__file__).parents[2] / "corpus"
TREAT = CORPUS / "words-treat.panel"
MIXER = CORPUS / "lamb-mixer-uk.panel"


def run(*arguments: str | Path, text: str | None = None) -> Result:
    return CliRunner().invoke(cli, ["report", *map(str, arguments)], input=text)


def test_text_goes_to_standard_output_unless_asked_otherwise() -> None:
    result = run(TREAT)
    assert result.exit_code == 0, result.output
    assert "What it is" in result.stdout
    assert "Ask the maker" in result.stdout
    assert "\x1b" not in result.stdout
    assert " ".join(result.stdout.split()).count(CAUTION) == 1


@pytest.mark.parametrize(("form", "start"), [("html", "<!DOCTYPE html>"), ("markdown", "# ")])
def test_other_forms(form: str, start: str) -> None:
    assert run(TREAT, "--format", form).stdout.startswith(start)


def test_a_page_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    target.write_text("before")
    failed = run(tmp_path / "none.panel", TREAT, "--format", "html", "--output", target, "--force")
    assert failed.exit_code == 2
    assert "none.panel" in failed.stderr
    assert target.read_text() == "before"
    done = run(TREAT, "--format", "html", "--output", target, "--force")
    assert done.exit_code == 0
    assert done.stdout == ""
    assert target.read_text().endswith("</html>\n")
    assert [path.name for path in tmp_path.iterdir()] == ["page.html"]


def test_a_label_on_standard_input() -> None:
    result = run("-", text="Ingredients: chicken, rice, salt\n")
    assert result.exit_code == 0, result.output
    assert "From standard input" in result.stdout
    named = run("-", "--as", "draft.panel", text="Ingredients: chicken, rice, salt\n")
    assert "From draft.panel" in named.stdout


@pytest.mark.parametrize("text", ["\n", "Ingredients:\n", "Product name: Nothing\n", "((((,,,"])
def test_next_to_nothing_is_read_too(text: str) -> None:
    for form in ("text", "markdown", "html"):
        result = run("-", "--format", form, text=text)
        assert result.exit_code == 0, (form, result.output)


def test_a_file_that_is_no_text_is_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "picture.panel"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\xff\xfe")
    result = run(path, TREAT)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "picture.panel" in result.stderr


def test_several_foods_with_what_a_day_takes() -> None:
    foods = [CORPUS / f"{name}.panel" for name in ("venison-split-peas-kibble", "lamb-stew-gravy")]
    result = run(*foods, "--body-weight", "10", "--species", "dog")
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("2 foods")
    assert "g a day" in result.stdout


@pytest.mark.parametrize(
    ("name", "start"), [("a.html", "<!DOCTYPE html>"), ("a.md", "# "), ("a.json", "{")]
)
def test_the_name_of_the_output_picks_its_form(tmp_path: Path, name: str, start: str) -> None:
    text = "Product name: Larder Chicken\nIngredients: chicken, rice\n"
    assert run("-", "--output", tmp_path / name, text=text).exit_code == 0
    assert (tmp_path / name).read_text().startswith(start)


def test_a_pdf_is_printed_by_an_installed_browser_or_says_how(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, program
) -> None:
    program("chromium")
    text = "Product name: Larder Chicken\nIngredients: chicken, rice\n"
    done = run("-", "--output", tmp_path / "a.pdf", text=text)
    assert done.exit_code == 0, done.output
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF-")
    monkeypatch.setattr("panellint.report.page.shutil.which", lambda _: None)
    without = run("-", "--output", tmp_path / "b.pdf", text=text)
    assert without.exit_code == 2
    assert "no Chromium is installed" in without.stderr
    assert "write a .html file" in without.stderr
    assert not (tmp_path / "b.pdf").exists()
    assert run("-", "--format", "pdf", text=text).exit_code == 2


def test_a_sheet_is_of_one_food() -> None:
    result = run(TREAT, MIXER, "--kind", "sheet")
    assert result.exit_code == 2
    assert "a sheet is of one food" in result.stderr


def test_the_long_reading_of_several_foods_says_once_what_holds_for_all() -> None:
    names = ("venison-split-peas-kibble", "lamb-stew-gravy")
    result = run(*(CORPUS / f"{name}.panel" for name in names), "--kind", "full")
    assert result.exit_code == 0, result.output
    text = " ".join(result.stdout.split())
    assert text.startswith("2 foods")
    for once in (
        "A label gives the order of the ingredients",
        "The same food three ways.",
        "This informs and does not certify",
        "Sources",
    ):
        assert text.count(once) == 1, once
    assert [text.count(f"From {name}.panel") for name in names] == [1, 1]
    assert text.count("What the name promises") == 2


def test_a_narrow_terminal_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    from panellint.output.render_options import RenderOptions

    monkeypatch.setattr(
        "panellint.commands.options.render_options", lambda _: RenderOptions(width=40)
    )
    result = run(TREAT, MIXER)
    assert max(map(len, result.stdout.splitlines())) <= 40
    for word in ("Protein", "Carbohydrate", "kcal/kg"):
        assert word in result.stdout
