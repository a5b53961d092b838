"""Packs written for a test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from textwrap import dedent, indent

import pytest

from panellint.core.errors import Fault, InputError
from panellint.rulepacks.compile.packs import compile_packs

RULE = """
id: {id}
title: A duck food holds duck
check: waiver
severity: {{practice: warning}}
with: {{fault: unused}}
says: "No duck in {{food}}."
because: Its name says so.
source: {{practice: true}}
examples:
  passes: [duck]
  fails: [{{text: goose, marks: goose}}]
"""


@pytest.fixture
def rule() -> Callable[..., str]:
    """The YAML of one good rule; `changes` replace lines that start with a key."""

    def make(id: str = "duck-in-duck", **changes: str) -> str:
        lines = RULE.format(id=id).strip().splitlines()
        for key, line in changes.items():
            at = next((i for i, old in enumerate(lines) if old.startswith(f"{key}:")), None)
            if at is None:
                lines.append(line)
            else:
                lines[at] = line
        text = "\n".join(line for line in lines if line)
        return "  - " + indent(text, "    ").strip() + "\n"

    return make


@pytest.fixture
def pack(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a pack and gives its path."""

    def write(text: str, name: str = "own.yaml") -> Path:
        path = tmp_path / name
        path.write_text(dedent(text), encoding="utf-8")
        return path

    return write


@pytest.fixture
def faults() -> Callable[..., list[Fault]]:
    """The faults of packs of a user's own, compiled with no built-in pack but the waivers'."""

    def find(*own: Path) -> list[Fault]:
        from panellint.rulepacks import packs

        try:
            compile_packs([path for path in packs.pack_files() if path.stem == "waivers"], own)
        except InputError as error:
            return list(error.faults)
        return []

    return find
