"""Settings: where they are found, what goes before what, and what is refused."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from panellint.core.errors import InputError
from panellint.core.findings import Certainty, Severity
from panellint.rulepacks.compile import models, yaml_source
from panellint.rulepacks.model import LabelKind
from panellint.rulepacks.parameters import Parameters
from panellint.rulepacks.settings import Settings, editions, forget

pytestmark = pytest.mark.usefixtures("own_cache")

OWN_RULE = """pack: brand
rules:
  - id: duck-in-duck
    title: A duck food holds duck
    check: waiver
    severity: {practice: warning}
    with: {fault: unused}
    says: No duck.
    because: Its name says so.
    source: {practice: true}
    examples:
      passes: [duck]
      fails: [{text: goose, marks: goose}]
"""


def write(folder: Path, text: str, name: str = "panellint.yaml") -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def faults(folder: Path, text: str) -> list[str]:
    path = write(folder, text)
    with pytest.raises(InputError) as caught:
        Settings.of_file(path)
    return [str(fault).removeprefix(f"{path}:") for fault in caught.value.faults]


def test_without_a_file_the_usual_holds(tmp_path: Path) -> None:
    settings = Settings.for_path(tmp_path / "a.panel")
    assert settings == Settings()
    assert settings.market_for() == "us"
    assert settings.fail_at is Severity.WARNING


def test_the_nearest_file_upwards_counts_alone(tmp_path: Path) -> None:
    write(tmp_path, "market: eu\nlanguage: de\n")
    write(tmp_path / "uk", "market: uk\n")
    (tmp_path / "uk" / "deep" / "er").mkdir(parents=True)
    (tmp_path / "eu").mkdir()
    deep = Settings.for_path(tmp_path / "uk" / "deep" / "er" / "a.panel")
    assert (deep.market, deep.language) == ("uk", None)
    assert Settings.for_path(tmp_path / "eu").market == "eu"
    assert Settings.for_path(tmp_path / "uk").market == "uk"


def test_standard_input_takes_the_working_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, "market: ca\n")
    monkeypatch.chdir(tmp_path)
    assert Settings.for_path("-").market == "ca"


def test_the_command_goes_before_the_label_and_the_label_before_the_file(tmp_path: Path) -> None:
    settings = Settings.of_file(write(tmp_path, "market: eu\n"))
    assert settings.market_for() == "eu"
    assert settings.market_for(" UK ") == "uk"
    assert settings.market_for("Mars") == "eu"
    assert settings.with_market("ca").market_for("UK") == "ca"
    with pytest.raises(InputError, match=r"unknown market `uss`.*`us`"):
        settings.with_market("uss")


def test_editions(tmp_path: Path) -> None:
    assert Settings().edition_for("us") == editions("us")[0]
    plain = Settings.of_file(write(tmp_path, "edition: legacy\n"))
    assert plain.edition_for("us") == "legacy"
    by_market = Settings.of_file(write(tmp_path, "market: eu\nedition: {us: legacy}\n"))
    assert by_market.edition_for("us") == "legacy"
    assert by_market.edition_for("eu") == "current"
    assert by_market.with_market("us", "modernised").edition_for("us") == "modernised"
    with pytest.raises(InputError, match="unknown edition of us `modern`"):
        by_market.with_market("us", "modern")


def test_rules_are_changed_by_certainty_and_switched_off(tmp_path: Path) -> None:
    settings = Settings.of_file(
        write(
            tmp_path,
            """
rules:
  waiver-unused: off
  waiver-expired: {severity: {practice: error}}
  waiver-without-date: {severity: hint}
fail-at: error
""",
        )
    )
    assert not settings.rules["waiver-unused"].is_on
    assert settings.rules["waiver-expired"].severity == {Certainty.PRACTICE: Severity.ERROR}
    assert settings.rules["waiver-without-date"].severity == {Certainty.PRACTICE: Severity.HINT}
    assert settings.fail_at is Severity.ERROR
    assert Settings().rules["waiver-unused"].is_on


def test_a_pack_of_ones_own_lies_beside_the_file(tmp_path: Path) -> None:
    write(tmp_path, OWN_RULE, "packs/brand.yaml")
    text = "packs: [packs/brand.yaml]\nrules: {duck-in-duck: {with: {fault: expired}}}\n"
    settings = Settings.of_file(write(tmp_path, text))
    assert settings.packs == (tmp_path / "packs" / "brand.yaml",)
    assert settings.rules["duck-in-duck"].parameters["fault"] == "expired"


def test_every_fault_is_told_at_once_with_place_and_nearest_word(tmp_path: Path) -> None:
    assert faults(
        tmp_path,
        """markt: us
market: usa
rules:
  waiver-unusd: off
  waiver-expired: {severity: {practice: eror}}
  waiver-unused: {with: {falt: x}}
fail-at: always
ignore: old/
""",
    ) == [
        "1:1: unknown key `markt` (expected `market`)",
        "2:9: unknown market `usa` (expected `us`)",
        "4:3: unknown rule `waiver-unusd` (expected `waiver-unused`)",
        "5:41: `rules.waiver-expired.severity.practice` is `eror` "
        "(expected error, warning, information, hint or off; did you mean `error`?)",
        "6:26: unknown key `falt` in `rules.waiver-unused.with` (expected `fault`)",
        "7:10: `fail-at` is `always` (expected error, warning, information, hint or never)",
        "8:9: `ignore` is `old/` (expected a list)",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("edition: old\n", "1:10: unknown edition of us `old` (expected `legacy` or `modernised`)"),
        ("edition: {usa: legacy}\n", "1:11: unknown market `usa` (expected `us`)"),
        (
            "packs: [house-rules.yaml]\n",
            "1:9: unknown pack `house-rules.yaml` (expected `brand.yaml`)",
        ),
        ("packs: [brnd.yaml]\n", "1:9: unknown pack `brnd.yaml` (expected `brand.yaml`)"),
        ("packs: [brand.yaml, ./brand.yaml]\n", "1:21: pack `./brand.yaml` is named twice"),
        ("rules: [a]\n", "1:8: `rules` is a list (expected keys and values)"),
        ("- a\n", "1:1: `the file` is a list (expected keys and values)"),
        (
            "market: [us\n",
            "2:1: not YAML: while parsing a flow sequence: did not find expected ',' or ']'",
        ),
    ],
)
def test_one_fault(tmp_path: Path, text: str, expected: str) -> None:
    write(tmp_path, OWN_RULE, "brand.yaml")
    write(tmp_path, "", ".hidden.yaml")
    assert faults(tmp_path, text) == [expected]


def test_the_faults_of_a_pack_are_told_with_those_of_the_file(tmp_path: Path) -> None:
    write(tmp_path, OWN_RULE.replace("check: waiver", "check: wavier"), "brand.yaml")
    told = faults(tmp_path, "packs: [brand.yaml]\nfail-at: warning\nmarket: us\n")
    assert len(told) == 1
    assert told[0].endswith("unknown check `wavier` (expected `waiver`)")


def test_an_empty_file_changes_nothing(tmp_path: Path) -> None:
    settings = Settings.of_file(write(tmp_path, "# nothing yet\n"))
    assert list(settings.rules) == list(Settings().rules)


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    path = write(tmp_path, "market: eu\n")
    assert Settings.for_path(tmp_path / "a.panel").market == "eu"
    write(tmp_path, "market: uk # moved\n")
    assert Settings.for_path(tmp_path / "a.panel").market == "uk"
    path.unlink()
    assert Settings.for_path(tmp_path / "a.panel").market is None


def test_a_pack_that_changes_under_a_settings_file_is_noticed(tmp_path: Path) -> None:
    write(tmp_path, OWN_RULE, "brand.yaml")
    path = write(tmp_path, "packs: [brand.yaml]\nrules: {duck-in-duck: off}\n")
    assert not Settings.of_file(path).rules["duck-in-duck"].is_on
    forget()
    write(tmp_path, OWN_RULE.replace("duck-in-duck", "duck-in-ducks"), "brand.yaml")
    with pytest.raises(InputError, match=r"unknown rule `duck-in-duck`.*`duck-in-ducks`"):
        Settings.of_file(path)
    forget()
    (tmp_path / "brand.yaml").unlink()
    with pytest.raises(InputError, match=r"brand\.yaml"):
        Settings.of_file(path)


def test_globs_are_those_of_the_folders_own_file(tmp_path: Path) -> None:
    write(tmp_path, "ignore: ['old/', '*.draft.panel']\n")
    (tmp_path / "below").mkdir()
    assert Settings.for_path(tmp_path).ignore == ("old/", "*.draft.panel")


def test_the_schema_accepts_what_is_accepted(tmp_path: Path) -> None:
    schema = models.settings_schema(Settings().rules)
    jsonschema.Draft202012Validator.check_schema(schema)
    good = """
market: us
edition: {us: legacy}
packs: []
rules: {waiver-unused: off, waiver-expired: {severity: {practice: error}, with: {}}}
fail-at: hint
ignore: ["*.old.panel"]
"""
    path = write(tmp_path, good)
    jsonschema.validate(yaml_source.read(path).data, schema)
    assert Settings.of_file(path).fail_at is Severity.HINT
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"fail-at": "always"}, schema)


def test_a_run_without_changes_loads_neither_yaml_nor_pydantic(
    tmp_path: Path, own_cache: Path
) -> None:
    write(tmp_path, OWN_RULE, "brand.yaml")
    path = write(tmp_path, "packs: [brand.yaml]\nrules: {duck-in-duck: off}\n")
    code = (
        "import sys\n"
        "from panellint import lint\n"
        "from panellint.rulepacks.settings import Settings\n"
        f"assert 'duck-in-duck' in Settings.of_file({str(path)!r}).rules\n"
        "print([m for m in ('yaml', 'pydantic', 'rapidfuzz', 'importlib.metadata')"
        " if m in sys.modules])\n"
    )
    environment = {**os.environ, "PANELLINT_CACHE": str(own_cache)}
    told = [
        subprocess.run(
            [sys.executable, "-c", code],
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for _ in range(2)
    ]
    assert "yaml" in told[0]
    assert told[1] == "[]\n"


@pytest.mark.parametrize(
    "kind",
    [
        LabelKind("us", "legacy", "dog", "kibble", ("maintenance",)),
        LabelKind("eu", "current", "cat", "can", (), ("treat",)),
        LabelKind(
            "us", "modernised", None, "topper", ("growth", "maintenance"), ("topper", "mixer")
        ),
    ],
)
def test_the_rules_about_a_kind_of_label_are_those_that_are_on_and_apply(kind: LabelKind) -> None:
    settings = Settings()
    expected = [r.id for r in settings.rules.values() if r.is_on and r.is_about(kind)]
    assert 0 < len(expected) < len(settings.rules)
    for _ in range(2):  # the second time from memory
        assert [rule.id for rule in settings.rules_about(kind)] == expected
    forget()
    assert [rule.id for rule in Settings().rules_about(kind)] == expected


def test_what_a_parameter_is_built_into_is_built_once() -> None:
    made = []

    def make(value: str, where: str) -> list[str]:
        made.append((value, where))
        return [value]

    parameters = Parameters({"which": "duck"}, ("some-rule", "pack.yaml", 7))
    assert parameters.built("which", make) is parameters.built("which", make)
    assert made == [("duck", "pack.yaml")]
    assert parameters.changed({"which": "goose"}).built("which", make) == ["goose"]
    with pytest.raises(InputError, match="`other` is missing"):
        parameters.built("other", make)


def test_a_command_chooses_the_market_and_its_edition():
    assert Settings().with_market("eu").chosen_market == "eu"
    assert Settings().with_market("us", "modernised").editions == {"us": "modernised"}
    assert Settings().with_market("us").editions == {}


@pytest.mark.parametrize(
    ("printed", "market"),
    [
        ("GB", "uk"),
        ("Great Britain", "uk"),
        ("NI", "eu"),
        ("DE", "eu"),
        ("Österreich", "eu"),
        ("U.S.", "us"),
        ("Canada", "ca"),
        ("Japan", None),
    ],
)
def test_a_market_is_known_by_what_it_is_called(printed: str, market: str | None) -> None:
    from panellint.rulepacks.settings import market_called

    assert market_called(printed) == market
    assert Settings().market_for(printed) == (market or "us")
