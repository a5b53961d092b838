"""Make brackets match before the parser sees them.

The parser does not recover, so the tokens are mended instead: a missing bracket is put in, a
surplus one left out, and each repair is told as a fault at the very place. Nesting deeper
than `DEEPEST` is kept flat from there.
"""

from collections.abc import Iterable, Iterator

from panellint.core.source import Span
from panellint.label.declaration.lexer import Piece
from panellint.label.model import TextFault

#: The deepest nesting that is kept as a tree; real labels stay under five.
DEEPEST = 100

_CLOSER = dict(zip("([{（［｛【", ")]}）］｝】", strict=True))


class MatchedBrackets:
    """Terminals whose brackets always match; `faults` holds what was mended, in no order."""

    def __init__(self, tokens: list[Piece]) -> None:
        self.faults: list[TextFault] = []
        self._last = -2
        drop, insert = self._match(tokens)
        self.pieces = list(self._emit(tokens, drop, insert, _footnotes(tokens)))

    def _fault(self, kind: str, tokens: list[Piece], index: int, words: str) -> None:
        span = Span(*tokens[index][2:])
        last = self.faults[-1] if self.faults else None
        # A run of the same fault is one fault, so that a garbled text stays readable.
        if last and last.kind == kind == "deep-nesting":
            return  # told once, where it begins
        if last and last.kind == kind and index == self._last + 1:
            self.faults[-1] = TextFault(kind, last.span.cover(span), last.words)
        else:
            self.faults.append(TextFault(kind, span, words))
        self._last = index

    def _match(self, tokens: list[Piece]) -> tuple[set[int], dict[int, int]]:
        """Indexes to leave out, and how many closers to put in before an index."""
        drop: set[int] = set()
        insert: dict[int, int] = {}
        stack: list[tuple[int, int | None]] = []  # opener, and the first full stop inside it
        flat = 0  # openers beyond the deepest level that are still open
        for index, token in enumerate(tokens):
            if token.type == "OPEN":
                if len(stack) >= DEEPEST:
                    flat += 1
                    drop.add(index)
                    self._fault(
                        "deep-nesting", tokens, index, f"brackets nest deeper than {DEEPEST}"
                    )
                else:
                    stack.append((index, None))
            elif token.type == "_STOP" and stack and stack[-1][1] is None:
                stack[-1] = (stack[-1][0], index)
            elif token.type == "CLOSE":
                if flat:
                    flat -= 1
                    drop.add(index)
                elif not stack:
                    drop.add(index)
                    self._fault("surplus-bracket", tokens, index, f"“{token.value}” closes nothing")
                else:
                    self._close(tokens, index, stack, insert)
        for opener, stop in stack:
            self._unclosed(tokens, opener)
            place = len(tokens) if stop is None else stop
            insert[place] = insert.get(place, 0) + 1
        return drop, insert

    def _close(
        self,
        tokens: list[Piece],
        index: int,
        stack: list[tuple[int, int | None]],
        insert: dict[int, int],
    ) -> None:
        token = tokens[index]
        opener = tokens[stack[-1][0]]
        if _CLOSER[opener.value] == token.value:
            stack.pop()
            return
        # The right opener one level down means that the inner bracket was never closed;
        # otherwise the two are taken for a pair of different kinds.
        below = tokens[stack[-2][0]] if len(stack) > 1 else None
        if below is not None and _CLOSER[below.value] == token.value:
            self._unclosed(tokens, stack[-1][0])
            insert[index] = insert.get(index, 0) + 1
            stack.pop()
        else:
            self._fault(
                "mismatched-bracket",
                tokens,
                index,
                f"“{token.value}” closes the “{opener.value}” opened before it",
            )
        stack.pop()

    def _unclosed(self, tokens: list[Piece], index: int) -> None:
        self._fault("unclosed-bracket", tokens, index, f"“{tokens[index].value}” is never closed")

    @staticmethod
    def _emit(
        tokens: list[Piece], drop: set[int], insert: dict[int, int], footnotes: set[int]
    ) -> Iterator[Piece]:
        depth = 0
        for index, token in enumerate(tokens):
            for _ in range(insert.get(index, 0)):
                depth -= 1
                yield Piece("CLOSE", "", token.start, token.start)
            if index in footnotes and not depth:
                yield Piece("_STOP", "", token.start, token.start)
            if index in drop:
                continue
            if token.type == "OPEN":
                depth += 1
            elif token.type == "CLOSE":
                depth -= 1
            elif token.type == "ODD" or (token.type == "_STOP" and depth):
                # Inside a bracket a full stop ends no sentence; it parts entries at most.
                token = token._replace(type="WORD" if token.type == "ODD" else "SEPARATOR")
            yield token
        for _ in range(insert.get(len(tokens), 0)):
            yield Piece("CLOSE", "", tokens[-1].end, tokens[-1].end)


def _footnotes(tokens: list[Piece]) -> set[int]:
    """Marks that open a footnote though no full stop ends the list before them: a mark that
    stood behind a name stands alone, before words ("salt* *Certified organic")."""
    behind: set[str] = set()
    places = set()
    for index, token in enumerate(tokens):
        if token.type != "MARK" or not index:
            continue
        before = tokens[index - 1]
        if before.end == token.start:
            behind.add(token.value)
        elif (
            token.value in behind
            and before.type in {"WORD", "PERCENT", "MARK", "CLOSE"}
            and index + 1 < len(tokens)
            and tokens[index + 1].type not in {"SEPARATOR", "_STOP", "MARK", "CLOSE"}
        ):
            places.add(index)
    return places


def by_place(faults: Iterable[TextFault]) -> tuple[TextFault, ...]:
    """Faults in the order of the text."""
    return tuple(sorted(faults, key=lambda fault: (fault.span, fault.kind)))
