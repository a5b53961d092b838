"""The neutral tree and the catalogue: what every declared word is.

Four things need known names: whether a bracket lists members or qualifies the name before
it, whether "and" joins two ingredients or stands inside one name, where a comma is missing,
and where a comma stands inside an inverted name ("yeast, brewer's").
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from panellint.catalogue.model import Match
from panellint.core.source import Source, Span
from panellint.core.text import name_key, one_line
from panellint.ingredients.groups import (
    GROUPS,
    adds_up,
    as_of_its_group,
    counts_by_weight_of_feed,
    in_several_languages,
    search_for,
    unclear,
    unmeasured,
)
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Bracket, Entry, Label, Percent, PercentOf, TextFault
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.catalogue import Catalogue

#: Words that may join two names; "oils and fats" is known whole and is not parted.
_JOINING = frozenset({"and", "&", "und", "et", "y", "e", "ed", "en", "or", "oder", "ou", "o", "of"})
_ALTERNATIVE = frozenset({"or", "oder", "ou", "o", "of"})
#: A name of more words than this is prose, and not searched for a missing comma.
_LONGEST_NAME = 10
#: Characters of the longest name that is looked up, five times the longest known one; a text
#: without end would be folded anew for each of its hyphens.
_LONGEST = 300
#: Kinds whose bracket gives another name, a form or a function, when it holds one thing.
_PLAIN = frozenset({"vitamin", "mineral", "amino-acid", "preservative", "antioxidant", "colour"})
#: Kinds of what is in an ingredient rather than one.
_NUTRIENTS = frozenset({"vitamin", "amino-acid", "fat-or-oil"})


class _Piece(NamedTuple):
    """A stretch of an entry that is one ingredient's name."""

    name: str
    span: Span
    match: Match | None


def identify(
    label: Label, catalogue: Catalogue, *, market: str = "us", language: str = "en"
) -> Declaration:
    """The declaration with every name looked up; faults are missing commas, by place."""
    reader = _Identifier(label.source, catalogue, market, language)
    return Declaration(
        tuple(reader.entries(label.declaration)),
        tuple(sorted(reader.faults, key=lambda fault: fault.span)),
    )


def joined_names(
    name: str, catalogue: Catalogue, *, market: str = "us", language: str = "en"
) -> tuple[Ingredient, ...]:
    """Returns the known ingredients that one name joins ("peas and carrots"), with their places
    in the name; () for any other name."""
    whole = Span(0, len(name))
    words = tuple(Span(*word.span()) for word in re.finditer(r"\S+", name))
    label = Label(Source(name, "-"), declaration=(Entry(name, whole, whole, words),))
    ingredients = identify(label, catalogue, market=market, language=language).ingredients
    return ingredients if len(ingredients) > 1 else ()


def _is_class_of(behind: _Piece, piece: _Piece) -> bool:
    """Returns True where words behind a name say its class: "kelp seaweed", "lactase enzyme"."""
    if behind.match is None or piece.match is None:
        return False
    known, above = piece.match.known, behind.match.known
    kinds = data("words/qualifiers")["class-words"].get(above.id, ())
    return known.id != above.id and (name_key(behind.name) in known.classes or known.kind in kinds)


class _Identifier:
    def __init__(self, source: Source, catalogue: Catalogue, market: str, language: str) -> None:
        self.source = source
        self.catalogue = catalogue
        self.market = market
        self.language = language
        #: Languages in which the parts of a name with a slash are looked for.
        self._read = dict.fromkeys(("en", language, *catalogue.languages))
        self.faults: list[TextFault] = []

    def lookup(self, name: str) -> Match | None:
        """What the catalogue knows under a printed name; a hyphen may be a line break's."""
        if not 0 < len(name) <= _LONGEST:
            return None
        match = self._known(name, self.language)
        if "-" in name and (match is None or match.how != "listed"):
            own = (name[:at] + name[at + 1 :] for at, sign in enumerate(name) if sign == "-")
            without = (self._known(words, self.language) for words in (name.replace("-", ""), *own))
            whole = next(filter(None, without), None)
            match = whole if match is None or (whole and whole.how == "listed") else match
        if match is None and " " in name:  # a compound word in two
            whole = self._known(name.replace(" ", ""), self.language)
            match = whole if whole and whole.how == "listed" else None
        if match is None and "/" in name:
            match = in_several_languages(name, self._known, self._read)
        return match

    def _known(self, name: str, language: str) -> Match | None:
        return self.catalogue.lookup(name, market=self.market, language=language)

    def entries(
        self, entries: tuple[Entry, ...], path: tuple[int, ...] = (), before: int = 0
    ) -> list[Ingredient]:
        """The ingredients of one list, in printed order; it stands at a path, and behind so
        many members of other lists there."""
        ingredients: list[Ingredient] = []
        for number, entry in enumerate(entries, 1):
            last = number == len(entries)
            pieces = self._entry(entry, (path, before + len(ingredients)), last=last)
            if entry.joined == "and" and not last and ingredients:
                # Amid a list "A (...) and B (...)" may be weighed as one.
                pieces = [ingredient._replace(unranked=True) for ingredient in pieces]
                ingredients[-1] = ingredients[-1]._replace(unranked=True)
            if ingredients and len(pieces) == 1 and self._inverts(ingredients[-1], pieces[0]):
                ingredients[-1] = self._inverted(ingredients[-1], pieces[0])
            else:
                ingredients.extend(pieces)
        return ingredients

    def _inverts(self, before: Ingredient, entry: Ingredient) -> bool:
        """True for "yeast, brewer's": the two words make a name only the other way round."""
        if entry.match or entry.members or before.members or " " in entry.name or not entry.name:
            return False
        whole = self.lookup(f"{entry.name} {before.name}")
        is_state = search_for("worked").fullmatch(entry.name) is not None  # "yeast, dried"
        return whole is not None and (is_state or whole.how != "composed")

    def _inverted(self, before: Ingredient, entry: Ingredient) -> Ingredient:
        span = before.name_span.cover(entry.name_span)
        return before._replace(
            name=f"{before.name}, {entry.name}",
            name_span=span,
            span=before.span.cover(entry.span),
            match=self.lookup(f"{entry.name} {before.name}"),
            percent=before.percent or entry.percent,
            marks=(*before.marks, *entry.marks),
            notes=(*before.notes, *entry.notes),
        )

    def _entry(
        self, entry: Entry, place: tuple[tuple[int, ...], int], *, last: bool
    ) -> list[Ingredient]:
        path, first = place
        match = self.lookup(entry.name)
        pieces = [_Piece(entry.name, entry.name_span, match)]
        alternative = False
        guessed = len(self.faults)
        if match is None or match.how == "composed":
            parted, alternative = self._parted(entry, match)
            pieces = parted or pieces
        # Only before a list's last entry must "and" part two entries; elsewhere the two may
        # be weighed as one, as they may where a comma was put in.
        unranked = not last or len(self.faults) > guessed
        if len(pieces) == 1:
            return [self._ingredient(entry, pieces[0], (*path, first))]
        ingredients = []
        # "heart and liver 11 %" may mean both or the last; then neither has a sure figure.
        sure = len(entry.percents) >= len(pieces)
        percents = [p if sure else p._replace(of=PercentOf.UNCLEAR) for p in entry.percents]
        for number, piece in enumerate(pieces):
            start = entry.span.start if number == 0 else piece.span.start
            ends = number + 1 == len(pieces)
            end = entry.span.end if ends else pieces[number + 1].span.start
            own = entry._replace(
                span=Span(start, end if ends else piece.span.end),
                percents=tuple(p for p in percents if start <= p.span.start < end),
                brackets=tuple(b for b in entry.brackets if start <= b.span.start < end),
                marks=tuple(m for m in entry.marks if start <= m.span.start < end),
                any_of=entry.any_of or alternative,
            )
            ingredient = self._ingredient(own, piece, (*path, first + number))
            ingredients.append(ingredient._replace(unranked=unranked))
        return ingredients

    def _parted(self, entry: Entry, whole: Match | None) -> tuple[list[_Piece], bool]:
        """The entry's words as two known names: joined by "and", or with a comma missing."""
        words = entry.words
        if not 1 < len(words) <= _LONGEST_NAME:
            return [], False
        for number, word in enumerate(words[1:-1], 1):
            joint = self.source.slice(word).lower()
            if joint in _JOINING:
                left = self._piece(entry, words[:number])
                right = self._piece(entry, words[number + 1 :])
                if left.match and right.match:
                    # "Carne y subproductos de ternera" is one.
                    known, end = left.match.known, right.match.known
                    if whole and whole.known.id == end.id and known.family != end.family:
                        return [], False
                    return [left, self._shared(left, right, entry)], joint in _ALTERNATIVE
        if whole is not None:
            return [], False
        best: tuple[int, list[_Piece]] | None = None
        for number in range(len(words) - 1, 0, -1):
            pair = [self._piece(entry, words[:number]), self._piece(entry, words[number:])]
            ways = [piece.match.how if piece.match else "" for piece in pair]
            if "" in ways or "composed" in ways:
                continue
            if self.catalogue.is_form(pair[1].name, self.language):
                continue  # "haddock hearts" are no haddock and hearts, known or not
            plain = ways.count("listed")
            if best is None or plain > best[0]:
                best = plain, pair
        if best is None:
            return [], False
        left, right = best[1]
        if _is_class_of(right, left):
            return [left._replace(name=entry.name, span=entry.name_span)], False
        last = next(word for word in reversed(words) if word.end <= left.span.end)
        first = next(word for word in words if word.start >= right.span.start)
        gap = Span(last.start, first.end)
        self.faults.append(TextFault("missing-comma", gap, f"{left.name} | {right.name}"))
        return [left, right], False

    def _shared(self, left: _Piece, right: _Piece, entry: Entry) -> _Piece:
        """ "Duck heart and liver" is the liver of the duck, where such a name is listed."""
        first = self.source.slice(entry.words[0])
        if first == left.name:
            return right
        whole = self.lookup(f"{first} {right.name}")
        fits = whole is not None and whole.how == "listed" and right.match is not None
        return right._replace(match=whole) if fits else right

    def _piece(self, entry: Entry, words: tuple[Span, ...]) -> _Piece:
        span = Span(words[0].start, words[-1].end)
        name = one_line(self.source.slice(span))
        return _Piece(name, span, self.lookup(name))

    def _ingredient(self, entry: Entry, piece: _Piece, path: tuple[int, ...]) -> Ingredient:
        piece, percents = self._graded(piece, entry.percents)
        members: list[Ingredient] = []
        notes: list[str] = []
        partial = component = False
        for bracket in map(_without_amounts, entry.brackets):
            if self._lists(piece, bracket):
                members.extend(self._members(piece, bracket, percents, (path, len(members))))
                partial = partial or self._is_partial(piece, bracket, percents)
                component = component or bracket.opener == ":"
            else:
                notes.append(self._text(bracket.inner))
                piece = self._noted(piece, notes[-1])
        notes.extend(entry.trailing)
        percent = next((p for p in percents if p.of is PercentOf.FOOD), None) if percents else None
        return Ingredient(
            name=piece.name,
            name_span=piece.span,
            span=entry.span,
            path=path,
            match=piece.match,
            percent=percent or (percents[0] if percents else None),
            members=tuple(members),
            partial=partial,
            any_of=entry.any_of,
            at_most=entry.at_most,
            marks=entry.marks,
            notes=tuple(notes),
            component=component,
        )

    def _graded(
        self, piece: _Piece, percents: tuple[Percent, ...]
    ) -> tuple[_Piece, tuple[Percent, ...]]:
        """ "80 % lean ground beef" is a grade of beef, and no share of the food."""
        if not percents or percents[0].span.end > piece.span.start:
            return piece, percents
        span = Span(percents[0].span.start, piece.span.end)
        name = one_line(self.source.slice(span))
        match = self.lookup(name) if search_for("graded").match(name) else None
        return (_Piece(name, span, match), percents[1:]) if match else (piece, percents)

    def _noted(self, piece: _Piece, note: str) -> _Piece:
        """ "Chicken (dried)" is dried chicken; where no name says so, little is known of it.
        "Ground beef (80/20)" is a grade of it."""
        is_grade = search_for("graded").fullmatch(note)
        if not piece.match or not (is_grade or search_for("worked").fullmatch(note)):
            return piece
        whole = self.lookup(f"{note} {piece.name}")
        if whole is None or whole.known.id == piece.match.known.id:
            whole = piece.match if is_grade else unmeasured(piece.match)
        return piece._replace(match=whole)

    def _members(
        self,
        piece: _Piece,
        bracket: Bracket,
        percents: tuple[Percent, ...],
        place: tuple[tuple[int, ...], int],
    ) -> list[Ingredient]:
        members = self.entries(bracket.entries, *place)
        if bracket.any_of:
            members = [member._replace(any_of=True) for member in members]
        if not counts_by_weight_of_feed(self.market) and not any(
            p.of is PercentOf.FOOD for p in percents
        ):
            members = [unclear(member) for member in members]
        if bracket.opener != ":":
            members = as_of_its_group(members, piece.name, piece.match, self.lookup)
        return members

    def _lists(self, piece: _Piece, bracket: Bracket) -> bool:
        """True where a bracket lists members, False where it qualifies the name before it."""
        if bracket.opener == ":" or bracket.partial or bracket.any_of:
            return True
        entries = bracket.entries
        if not entries or not (entries[0].name or entries[0].brackets):
            return False  # it begins with "preserved with", "source of", a figure
        if search_for("qualifying").match(entries[0].name):
            return False  # "chicken (with bone)"
        if len(entries) == 1 and search_for("amount").search(self._text(bracket.inner)):
            return False
        if all(e.percents and search_for("constituents").fullmatch(e.name) for e in entries):
            return False  # "milk (2 % fat)"
        known = piece.match.known if piece.match else None
        if not piece.name or (known and known.kind in GROUPS) or _is_group_name(piece):
            return True
        matches = [self._known_name(entry) for entry in entries]
        count = sum(match is not None for match in matches)
        if len(entries) == 1:
            only = matches[0]
            if only is None:
                return False
            if not entries[0].percents and (known is None or known.kind in _PLAIN):
                return known is None
            if not entries[0].percents and only.known.kind in _NUTRIENTS:
                return False  # "salmon oil (omega-3)"
            return only.known.id != (known.id if known else "") or bool(entries[0].percents)
        if known is None:
            return True
        if known.kind in _PLAIN:
            ids = {match.known.id for match in matches if match}
            return count == len(entries) and len(ids) > 1 and known.id not in ids
        return 2 * count >= len(entries) or all(entry.percents for entry in entries)

    def _known_name(self, entry: Entry) -> Match | None:
        match = self.lookup(entry.name)
        if match is None and len(entry.words) > 1:
            kept = list(self.faults)  # that a comma is missing is no fault yet
            pieces, _ = self._parted(entry, None)
            self.faults = kept
            return pieces[0].match if pieces else None
        return match

    def _is_partial(self, piece: _Piece, bracket: Bracket, percents: tuple[Percent, ...]) -> bool:
        """True where the bracket names only some of its entry.

        A category of the EU with what is emphasised ("meat and animal derivatives (chicken
        4 %)") holds more than it names, and so may any bracket with figures that do not add
        up, or with a cap.
        """
        if bracket.partial or search_for("open-list").search(self._text(bracket.inner)):
            return True
        if bracket.opener == ":":
            return False
        figures = [p for entry in bracket.entries for p in entry.percents[:1]]
        whole = len(figures) == len(bracket.entries) and adds_up(figures, percents)
        if piece.match is not None and piece.match.known.kind == "category":
            of_parent = whole and figures[0].of is PercentOf.PARENT
            if counts_by_weight_of_feed(self.market) or len(bracket.entries) == 1:
                return not of_parent
        if whole:
            return False
        return bool(figures) or any(entry.at_most is not None for entry in bracket.entries)

    def _text(self, span: Span) -> str:
        return one_line(self.source.slice(span))


def _without_amounts(bracket: Bracket) -> Bracket:
    """A bracket without amounts that stand for no name ("FOS, 80 mg/kg"), and without numbers that
    go on from the name before them ("omega-3, -6 and -9")."""
    kept = tuple(
        e for e in bracket.entries if not search_for("no-name").fullmatch(e.name) or e.brackets
    )
    return bracket._replace(entries=kept) if len(kept) < len(bracket.entries) else bracket


def _is_group_name(piece: _Piece) -> bool:
    plain = piece.match is not None and piece.match.known.kind in _PLAIN
    return bool(search_for("group-names").search(piece.name)) and (
        not plain or piece.name.lower() in {"vitamins", "minerals", "trace minerals"}
    )
