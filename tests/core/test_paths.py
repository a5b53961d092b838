"""The cache: used where it can be, done without where it cannot, never half-written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from panellint.core import paths


@pytest.fixture
def built() -> list[int]:
    return []


def ask(source: Path, built: list[int], name: str = "thing") -> object:
    def build() -> object:
        built.append(1)
        return {"text": source.read_text(encoding="utf-8")}

    return paths.cached(name, [source], build)


def test_what_is_compiled_is_kept_until_its_input_changes(
    own_cache: Path, tmp_path: Path, built: list[int]
) -> None:
    source = tmp_path / "a.yaml"
    source.write_text("one", encoding="utf-8")
    assert ask(source, built) == ask(source, built) == {"text": "one"}
    assert len(built) == 1
    source.write_text("two!", encoding="utf-8")
    assert ask(source, built) == {"text": "two!"}
    assert len(built) == 2


@pytest.mark.parametrize("damage", [b"", b"nonsense", b"\xff\n\xff", None])
def test_a_damaged_cache_file_is_built_anew(
    own_cache: Path, tmp_path: Path, built: list[int], damage: bytes | None
) -> None:
    source = tmp_path / "a.yaml"
    source.write_text("one", encoding="utf-8")
    ask(source, built)
    kept = own_cache / "thing.cache"
    kept.write_bytes(kept.read_bytes()[:-3] if damage is None else damage)
    assert ask(source, built) == {"text": "one"}
    assert len(built) == 2


def test_without_a_cache_everything_works(
    tmp_path: Path, built: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    source = tmp_path / "a.yaml"
    source.write_text("one", encoding="utf-8")
    try:
        for folder in ("", str(source / "below-a-file")):
            monkeypatch.setenv("PANELLINT_CACHE", folder)
            paths.cache_folder.cache_clear()
            assert paths.cache_folder() is None
            assert ask(source, built) == {"text": "one"}
    finally:
        paths.cache_folder.cache_clear()
    assert len(built) == 2


def test_a_folder_that_others_can_write_is_not_trusted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o777)
    monkeypatch.setenv("PANELLINT_CACHE", str(shared))
    paths.cache_folder.cache_clear()
    try:
        assert paths.cache_folder() is None
    finally:
        paths.cache_folder.cache_clear()


def test_a_write_that_fails_leaves_nothing_behind(
    own_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(old: str, new: Path) -> None:
        raise OSError("no room")

    folder = paths.cache_folder()
    assert folder is not None
    monkeypatch.setattr(os, "replace", refuse)
    paths.write_beside(folder / "thing.cache", b"data")
    assert list(folder.iterdir()) == []
