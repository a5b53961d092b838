"""The words of headings as labels print them, compiled from `rules/words/headings.yaml`."""

import re
from functools import cache
from pathlib import Path
from typing import Any

from panellint.core import text
from panellint.core.cache import Entries, cached
from panellint.label import near_words
from panellint.rulepacks.data import data, data_files, inputs

_WORD = re.compile(r"[^\W\d_]+")


@cache
def vocabulary() -> Entries:
    """Returns the headings, folded: their "kinds" of section; the "plain" ones, that need no colon;
    the "bare" kinds; the headings "by-word" that they begin with; their "languages" by kind, and
    the "codes" of all languages."""
    files = data_files()
    code = [Path(module) for module in (__file__, near_words.__file__, text.__file__)]
    read = [files["words/headings"], files["words/spelling"], *code]
    return cached("headings", inputs(read), _compiled, apart=["languages"])


def _compiled() -> dict[str, Any]:
    given = data("words/headings")
    before_colon = set(given["before-colon"])
    kinds: dict[str, str] = {}
    by_word: dict[str, list[str]] = {}
    languages: dict[str, dict[str, list[str]]] = {}
    spelt: list[tuple[str, list[str]]] = []
    for entry in given["headings"]:
        of_kind = languages.setdefault(entry["kind"], {})
        for language, words in entry["words"].items():
            for folded in map(text.fold, words):
                of_kind.setdefault(folded, []).append(language)
                several = near_words.spellings(folded, language)
                spelt.append((entry["kind"], several))
                if folded in before_colon:
                    before_colon.update(several)
                for each in several:
                    if each not in kinds:
                        first = _WORD.match(each)
                        by_word.setdefault(first.group() if first else "", []).append(each)
                        kinds[each] = entry["kind"]
    for kind, several in spelt:
        for each in several[1:]:  # "INGREDIENTS" heads English lists, and French ones in capitals
            own = languages[kind].setdefault(each, [])
            own += (code for code in languages[kind][several[0]] if code not in own)
    # "guaranteedAnalysis:" is the key of an export.
    for kind, several in spelt:
        key = several[0].replace(" ", "")
        if key.isalpha() and key not in kinds and "en" in languages[kind][several[0]]:
            by_word.setdefault(key, []).append(key)
            kinds[key] = kind
            before_colon.add(key)
    return {
        "kinds": kinds,
        "plain": [words for words in kinds if words not in before_colon],
        "bare": [entry["kind"] for entry in given["headings"] if entry.get("bare")],
        "by-word": by_word,
        "languages": languages,
        "codes": sorted({code for entry in given["headings"] for code in entry["words"]}),
    }
