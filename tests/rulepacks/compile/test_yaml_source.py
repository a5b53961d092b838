"""YAML with places: the core schema of YAML 1.2 (10.3), and every place from 1."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.rulepacks.compile import yaml_source


def read(tmp_path: Path, text: str) -> yaml_source.Document:
    path = tmp_path / "file.yaml"
    path.write_text(text, encoding="utf-8", newline="")
    return yaml_source.read(path)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("off", "off"),
        ("no", "no"),
        ("yes", "yes"),
        ("2024-07-01", "2024-07-01"),
        ("12:30", "12:30"),
        ("1_000", "1_000"),
        ("true", True),
        ("False", False),
        ("~", None),
        ("25", 25),
        ("-3", -3),
        ("2.50", 2.5),
        ("1e3", 1000.0),
        ('"25"', "25"),
        ("'true'", "true"),
        ("!!str 25", "25"),
    ],
)
def test_a_scalar_is_what_the_core_schema_of_yaml_1_2_makes_of_it(
    tmp_path: Path, text: str, value: object
) -> None:
    document = read(tmp_path, f"a: {text}\n")
    assert document.faults == []
    assert document.data == {"a": value}
    assert type(document.data["a"]) is type(value)


def test_every_value_and_key_has_its_place(tmp_path: Path) -> None:
    document = read(tmp_path, "é½😀: [x, {b: 1}]\nc:\n  - d: 2\n")
    assert document.place(("é½😀",)) == (1, 6)
    assert document.place(("é½😀", 1, "b")) == (1, 14)
    assert document.place(("c", 0, "d"), key=True) == (3, 5)
    assert document.place(("c", 0, "d", "deeper", 4)) == (3, 8)


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("a: 1\na: 2\n", (2, 1), "given twice"),
        ("a: &x 1\nb: *x\n", (2, 4), "alias"),
        ("a: !!python/object:os.system 1\n", (1, 4), "tag"),
        ("a: [1, 2\n", (2, 1), "not YAML"),
        ("a: 1\n---\nb: 2\n", (2, 1), "second document"),
        ("? [a]\n: 1\n", (1, 3), "as a key"),
        ("a: 1e999\n", (1, 4), "too large"),
        ("a: \t- b\n", (1, 5), "not YAML"),
    ],
)
def test_what_a_pack_cannot_hold_is_a_fault_at_its_place(
    tmp_path: Path, text: str, place: tuple[int, int], words: str
) -> None:
    document = read(tmp_path, text)
    assert [(fault.line, fault.column) for fault in document.faults] == [place]
    assert words in document.faults[0].message


def test_the_first_of_two_equal_keys_counts(tmp_path: Path) -> None:
    assert read(tmp_path, "a: 1\na: {b: 2}\n").data == {"a": 1}


@pytest.mark.parametrize("text", ["[" * 100, "[" * 200_000, "- " * 100, "- " * 50_000])
def test_nesting_without_end_is_a_fault_and_no_crash(tmp_path: Path, text: str) -> None:
    document = read(tmp_path, text)
    assert len(document.faults) == 1
    assert "nest" in document.faults[0].message


def test_a_file_that_is_no_text_or_not_there_is_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "file.yaml"
    path.write_bytes(b"a: \xff\xfe\x00")
    assert "not text" in yaml_source.read(path).faults[0].message
    assert "cannot be read" in yaml_source.read(tmp_path / "none.yaml").faults[0].message


def test_data_of_our_own_may_name_a_value_and_use_it_again(tmp_path: Path) -> None:
    path = tmp_path / "data.yaml"
    path.write_text("a: &list [1, 2]\nb: *list\nc: &word x\nd: [*word]\n", encoding="utf-8")
    assert yaml_source.read_all({"data": path}) == {
        "data": {"a": [1, 2], "b": [1, 2], "c": "x", "d": ["x"]}
    }
    path.write_text("a: &me [*me]\n", encoding="utf-8")
    with pytest.raises(InputError, match="stands inside what it names"):
        yaml_source.read_all({"data": path})


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60))
def test_any_text_is_read_without_an_exception(tmp_path_factory: object, text: str) -> None:
    path = Path(tmp_path_factory.getbasetemp()) / "any.yaml"  # type: ignore[attr-defined]
    path.write_text(text, encoding="utf-8", newline="")
    document = yaml_source.read(path)
    for fault in document.faults:
        assert fault.message
