"""The static site: every link leads to a page, nothing is fetched from elsewhere, nothing of a text
becomes markup."""

from html import escape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint.catalogue import load
from panellint.cli import COMMANDS, cli
from panellint.rulepacks import registry
from panellint.rulepacks.settings import Settings


class Links(HTMLParser):
    """The addresses in a page, and the names of its elements."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.elements: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.add(tag)
        self.addresses += [value or "" for name, value in attrs if name in ("href", "src")]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    result = CliRunner().invoke(cli, ["pages", "--output", str(folder)])
    assert result.exit_code == 0, result.output
    return folder


def test_there_is_a_page_for_everything(site: Path) -> None:
    def names(folder: str) -> set[str]:
        return {path.stem for path in (site / folder).glob("*.html")} - {"index"}

    assert names("rules") == set(Settings().rules)
    assert names("ingredients") == {one.id for one in load()}
    assert names("checks") == set(registry.names())
    assert names("commands") == set(COMMANDS)
    assert names("guides") == {"formulator", "repository", "editor"}


def test_no_link_is_dead_and_nothing_comes_from_outside(site: Path) -> None:
    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 2000
    dead = []
    for page in pages:
        links = Links()
        links.feed(page.read_text(encoding="utf-8"))
        assert "script" not in links.elements, page
        for address in links.addresses:
            assert ":" not in address, f"{page}: {address}"
            if not (page.parent / address).is_file():
                dead.append(f"{page}: {address}")
    assert dead == []


def test_a_rule_page_says_why_and_how_to_switch_it_off(site: Path) -> None:
    text = (site / "rules/name-quarter.html").read_text(encoding="utf-8")
    rule = Settings().rules["name-quarter"]
    assert f"<h1>{rule.title}</h1>" in text
    assert rule.source.document in text
    assert "name-quarter: off" in text
    assert "Waive name-quarter until" in text
    assert f"<pre>{escape(rule.examples.passes[0].strip())}".splitlines()[0] in text
    assert "\u240a" not in text  # a line end is no character to be shown


def test_a_guide_names_commands_that_exist(site: Path) -> None:
    for page in (site / "guides").glob("*.html"):
        for line in page.read_text(encoding="utf-8").splitlines():
            words = line.replace("<pre>", "").split()
            if words[:1] == ["panellint"]:
                assert words[1].split("<")[0] in COMMANDS
