"""The cache: used where it can be, done without where it cannot, never believed when damaged."""

from __future__ import annotations

import functools
import json
import os
import random
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from panellint import api
from panellint.catalogue import store
from panellint.core import cache
from panellint.label.declaration import lexer
from panellint.rulepacks import settings
from panellint.rulepacks.compile import packs as compile_packs
from panellint.rulepacks.compile import yaml_source
from panellint.shares import premises

LABEL = """Product name: Quillbrook Larder Duck & Millet Recipe for Dogs
Species: dog
Market: US
Ingredients: Duck, milet, hemp seed (2%), dried egg [egg, salt, minerals, zzz.
Guaranteed analysis: Crude protein (min.) 26.0%
"""


@pytest.fixture
def built() -> list[int]:
    return []


@pytest.fixture
def environment(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, str], None]]:
    """Sets a variable of the environment; the cache folder is looked for anew."""

    def change(name: str, value: str) -> None:
        monkeypatch.setenv(name, value)
        cache.forget_folder()

    yield change
    monkeypatch.undo()
    cache.forget_folder()


def ask(source: Path, built: list[int]) -> dict[str, object]:
    """The compiled form of a file, as other modules ask for theirs."""

    def build() -> dict[str, object]:
        built.append(1)
        text = source.read_text(encoding="utf-8")
        return {"text": text, "words": {word: {"length": len(word)} for word in text.split()}}

    found = cache.cached("thing", [source], build, apart=["words"])
    return {"text": found["text"], "words": {k: dict(v) for k, v in found["words"].items()}}


EXPECTED = {"text": "one thé", "words": {"one": {"length": 3}, "thé": {"length": 3}}}


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "a.yaml"
    path.write_text("one thé", encoding="utf-8")
    return path


def test_what_is_compiled_is_kept_until_its_input_changes(
    own_cache: Path, source: Path, built: list[int]
) -> None:
    assert ask(source, built) == ask(source, built) == EXPECTED
    assert len(built) == 1
    source.write_text("two!", encoding="utf-8")
    assert ask(source, built)["text"] == "two!"
    assert len(built) == 2


def test_a_cache_file_is_plain_text_of_json_lines(
    own_cache: Path, source: Path, built: list[int]
) -> None:
    ask(source, built)
    (file,) = own_cache.rglob("*.json")
    lines = [json.loads(line) for line in file.read_text(encoding="ascii").splitlines()]
    assert set(lines[0]) == {"key", "digest"}
    assert lines[1].keys() == {"text", "words"}
    assert lines[2:] == ["one thé", {"length": 3}, {"length": 3}]


def test_every_entry_can_be_asked_for_in_any_order_and_is_the_same_each_time(
    own_cache: Path, source: Path, built: list[int]
) -> None:
    table = {str(n): list(range(n)) for n in range(50)}
    found = cache.cached("many", [source], lambda: {"table": table}, apart=["table"])["table"]
    order = list(table)
    random.Random(1).shuffle(order)
    assert [found[name] for name in order] == [table[name] for name in order]
    assert found["7"] is found["7"]
    assert "50" not in found
    assert found.get("50") is None


@pytest.mark.parametrize("damage", [b"", b"nonsense", b"\xff\n\xff", b"{}\n{}\n", None])
def test_a_damaged_cache_file_is_built_anew(
    own_cache: Path, source: Path, built: list[int], damage: bytes | None
) -> None:
    ask(source, built)
    (file,) = own_cache.rglob("*.json")
    file.write_bytes(file.read_bytes()[:-3] if damage is None else damage)
    assert ask(source, built) == EXPECTED
    assert len(built) == 2
    assert ask(source, built) == EXPECTED
    assert len(built) == 2


def test_no_damaged_byte_is_ever_taken_for_data(
    own_cache: Path, source: Path, built: list[int]
) -> None:
    ask(source, built)
    (file,) = own_cache.rglob("*.json")
    whole = file.read_bytes()
    chance = random.Random(7)
    places = range(0, len(whole), 3)
    for at in places:
        changed = bytearray(whole)
        changed[at] ^= 1 << chance.randrange(8)
        file.write_bytes(changed)
        assert ask(source, built) == EXPECTED
    assert len(built) == 1 + len(places)


def test_a_file_of_another_key_is_not_read(own_cache: Path, source: Path, built: list[int]) -> None:
    ask(source, built)
    (file,) = own_cache.rglob("*.json")
    text = file.read_text(encoding="ascii")
    file.write_text(re.sub(r'"key": "\w+"', f'"key": "{"0" * 64}"', text), encoding="ascii")
    assert ask(source, built) == EXPECTED
    assert len(built) == 2


def findings(folder: Path) -> object:
    """What a lint of LABEL finds when everything is read from the cache anew."""
    settings.forget()
    for memory in (store._with_own, store._built_in, lexer._terminals, premises.numbers):
        memory.cache_clear()
    path = folder / "duck.panel"
    path.write_text(LABEL, encoding="utf-8")
    return api.lint(LABEL, str(path))


@pytest.fixture
def compiled_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the compilers return is kept in memory, so that a cache file can be built anew often
    in little time."""
    for module, name in (
        (store, "_names"),
        (store, "_figures"),
        (lexer, "_compiled"),
        (compile_packs, "compile_packs"),
    ):
        monkeypatch.setattr(module, name, functools.cache(getattr(module, name)))
    data = functools.cache(lambda files: yaml_source_read_all(dict(files)))
    yaml_source_read_all = yaml_source.read_all
    monkeypatch.setattr(yaml_source, "read_all", lambda files: data(tuple(files.items())))


def test_whatever_is_damaged_the_findings_are_the_same(
    own_cache: Path, tmp_path: Path, compiled_once: None
) -> None:
    expected = findings(tmp_path)
    files = sorted(own_cache.rglob("*.json"))
    assert {file.stem for file in files} >= {
        "catalogue-figures", "catalogue-names", "data", "declaration-terminals", "packs",
    }  # fmt: skip
    chance = random.Random(20)
    # Sixteen bytes of each file, eight at a time; that a single one is noticed at each place, the
    # test before this one shows.
    for _ in range(2):
        for file in files:
            changed = bytearray(file.read_bytes())
            for at in chance.sample(range(len(changed)), 8):
                changed[at] ^= 1 << chance.randrange(8)
            file.write_bytes(changed)
        assert findings(tmp_path) == expected
    for file in files:
        kept = file.read_bytes()
        other = next(one for one in files if one != file).read_bytes()
        for damage in (kept[: len(kept) // 2], b"", other):
            file.write_bytes(damage)
            assert findings(tmp_path) == expected


@pytest.mark.parametrize("folder", ["", "below-a-file/cache"])
def test_without_a_cache_everything_works(
    tmp_path: Path,
    source: Path,
    built: list[int],
    environment: Callable[[str, str], None],
    folder: str,
) -> None:
    (tmp_path / "below-a-file").write_text("a file", encoding="utf-8")
    environment("PANELLINT_CACHE", str(tmp_path / folder) if folder else "")
    assert cache.cache_folder() is None
    assert cache.refusal() == ""
    assert ask(source, built) == ask(source, built) == EXPECTED
    assert len(built) == 2


def test_a_folder_that_others_can_write_is_not_used_and_the_reason_is_given_once(
    tmp_path: Path, environment: Callable[[str, str], None]
) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o775)
    environment("PANELLINT_CACHE", str(shared))
    assert cache.cache_folder() is None
    assert cache.cache_folder() is None
    assert cache.refusal() == (
        f"the cache folder {shared} can be written by others, so it is not used"
    )


def test_a_folder_of_another_user_is_not_used(
    tmp_path: Path, environment: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = os.getuid()
    monkeypatch.setattr(os, "getuid", lambda: mine + 1)
    environment("PANELLINT_CACHE", str(tmp_path / "theirs"))
    assert cache.cache_folder() is None
    assert "belongs to another user" in cache.refusal()


def test_a_file_that_others_can_write_is_not_read(
    own_cache: Path, source: Path, built: list[int]
) -> None:
    ask(source, built)
    (file,) = own_cache.rglob("*.json")
    file.chmod(0o666)
    assert ask(source, built) == EXPECTED
    assert len(built) == 2
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_relative_folder_for_caches_is_ignored(
    tmp_path: Path, environment: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    environment("HOME", str(tmp_path / "home"))
    environment("XDG_CACHE_HOME", "here")
    monkeypatch.delenv("PANELLINT_CACHE", raising=False)
    cache.forget_folder()
    folder = cache.cache_folder()
    assert folder is not None
    assert folder.parent == tmp_path / "home" / ".cache" / "panellint"
    assert not (tmp_path / "here").exists()
    environment("XDG_CACHE_HOME", str(tmp_path / "here"))
    folder = cache.cache_folder()
    assert folder is not None
    assert folder.parent == tmp_path / "here" / "panellint"


def test_two_installations_have_folders_of_their_own(
    own_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = cache.cache_folder()
    cache.forget_folder()
    monkeypatch.setattr(cache, "__file__", "/another/site-packages/panellint/core/cache.py")
    there = cache.cache_folder()
    assert here is not None
    assert there is not None
    assert here != there
    assert here.parent == there.parent == own_cache


def test_a_write_that_fails_leaves_nothing_behind(
    own_cache: Path, source: Path, built: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(old: str, new: Path) -> None:
        raise OSError("no room")

    monkeypatch.setattr(os, "replace", refuse)
    assert ask(source, built) == EXPECTED
    assert [path for path in own_cache.rglob("*") if path.is_file()] == []
