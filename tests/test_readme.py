"""The README's transcripts are what the commands print, and its settings are good ones."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from panellint.catalogue import load
from panellint.cli import cli
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TRANSCRIPTS = re.findall(r"```text\n\$ panellint ([^\n]+)\n(.*?)```", README, re.DOTALL)


@pytest.mark.parametrize(("command", "told"), TRANSCRIPTS, ids=[one[0] for one in TRANSCRIPTS])
def test_transcripts(command: str, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")
    result = CliRunner().invoke(cli, command.split())
    assert result.stdout.startswith(told.rstrip())


def test_the_settings_shown_are_good(tmp_path: Path) -> None:
    shown = next(
        block for block in re.findall(r"```yaml\n(.*?)```", README, re.DOTALL) if "market:" in block
    )
    assert yaml.safe_load(shown)["market"] == "us"
    pack = (ROOT / "corpus" / "brand" / "house-rules.yaml").read_text(encoding="utf-8")
    (tmp_path / "house-rules.yaml").write_text(pack, encoding="utf-8")
    blocks = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    own = next(block for block in blocks if block.startswith("ingredients:"))
    (tmp_path / "own.yaml").write_text(own, encoding="utf-8")
    (tmp_path / "panellint.yaml").write_text(shown, encoding="utf-8")
    settings = Settings.for_path(tmp_path / "duck.panel")
    assert settings.rules
    assert load(settings.ingredients).lookup("Orchard chicken meal")


def test_the_two_commands_are_one_line_each() -> None:
    for name in ("run", "test"):
        block = re.search(rf"<!-- {name} -->\n```sh\n(.*?)```\n<!-- end -->", README, re.DOTALL)
        assert block is not None
        assert len(block[1].strip().splitlines()) == 1
