"""What a market wants to read on every label, whatever the food: parts, headings, the type of
feed and whom it is for.

A bare declaration owes none of it, and a draft without any of the usual small print is not
faulted for the rest of it.
"""

import re
from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import regex
from panellint.ingredients.selector import Choice
from panellint.label.evidence import headed
from panellint.label.ledger import Fate
from panellint.label.model import Section
from panellint.label.statements import species_in
from panellint.lint.checks.support.free_text import free_text_matches
from panellint.lint.checks.support.label_parts import (
    has_small_print,
    is_of_a_page,
    is_whole,
    lacking,
    not_read,
    perhaps_here,
    stated,
    where,
)
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.parameters import Parameters
from panellint.rulepacks.settings import the_market

_SENTENCE_END = re.compile(r"[.!?;\n]")
#: Sections whose words are no small print: a brand may be called "Batch".
_NOT_SEARCHED = frozenset({"declaration", "product-name", "claims", "waiver", "market", "form"})


def part(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds that the label does not carry a part, as far as its text tells."""
    if not is_whole(context):
        return
    with_ = rule.parameters
    routes = with_.texts("routes")
    if (
        (routes and not stated(context, routes))
        or stated(context, with_.texts("except-routes"))
        or _is_few(context, with_)
        or ("declares" in with_ and not with_.built("declares", Choice).among(context.leaves))
        or ("beside" in with_ and not any(free_text_matches(context, with_.words("beside"))))
    ):
        yield Observation.of_state(State.NOT_DUE, where(context))
        return
    place = _place_of(context, with_)
    if (
        place is not None
        and "also" in with_
        and not any(with_.words("also").search(text) for text, _ in context.once(_small_print))
    ):
        values = {"market": the_market(context.market)}
        yield Observation(place, Certainty.PRACTICE, values, variant="also")
    elif (
        place is not None
        and with_["figure"]
        and not any(map(str.isdigit, context.source.slice(place)))
    ):
        yield not_read(context, place)
    elif place is not None:
        yield Observation.met(place)
    elif with_["on-pack"] and is_of_a_page(context):
        yield Observation.of_state(State.NOT_VISIBLE, where(context))
    elif not has_small_print(context):
        yield Observation.of_state(State.MISSING, where(context))
    else:
        values = {"market": the_market(context.market)}
        kinds = with_.texts("sections") or with_.texts("maybe")
        missing = lacking(context, where(context), Certainty.PRACTICE, values, "", *kinds)
        perhaps = (perhaps_here(context, kind) for kind in kinds)
        if missing.state is State.MISSING and (seen := next(filter(None, perhaps), None)):
            missing = seen._replace(values={**values, **seen.values})
        yield missing


def _place_of(context: LabelContext, with_: Parameters) -> Span | None:
    """Returns where a part stands: its section, or the first small print that has its words."""
    kinds = with_.texts("sections")
    for kind in kinds:
        for section in context.sections_of(kind):
            other = "not-headed" in with_ and with_.words("not-headed").search(
                context.source.slice(section.heading)
            )
            if section.text and not other and not _is_beside(section, with_):
                return section.body
    for stretch in context.label.ledger.stretches:
        own = stretch.fate is Fate.READ and stretch.kind in kinds
        if own and headed(context.source.slice(stretch.span)) == stretch.kind:
            return stretch.span
    if "in-name" in with_ and with_.words("in-name").search(context.label.product_name):
        return context.label.product_name_span
    if "words" in with_:
        words = with_.words("words")
        # What stands on the whole pack stands at its end for the most part.
        for text, place in reversed(context.once(_small_print)):
            if words.search(text):
                return place
    return None


def _is_beside(section: Section, with_: Parameters) -> bool:
    """Returns whether a section without a heading holds nothing but what stands beside the part
    (“Always provide fresh water.”); a sentence with a figure says more."""
    if "not-alone" not in with_ or section.heading.end > section.heading.start:
        return False
    words = with_.words("not-alone")
    said = filter(str.strip, _SENTENCE_END.split(section.text))
    return all(words.search(one) and not any(map(str.isdigit, one)) for one in said)


def heading(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds parts under another heading than the market's."""
    with_ = rule.parameters
    allowed = with_.words("words")
    sections = context.sections_of(with_.text("section"))
    # "guaranteedAnalysis" is two words.
    gap = r"[(),_\s]+|(?<=[a-z])(?=[A-Z])"
    words = {s: re.sub(gap, " ", context.label.page.slice(s.heading)) for s in sections}
    headed = [s for s in sections if allowed.search(words[s])]
    for section in headed[:1] if with_["once"] and headed else sections:
        printed = one_line(context.source.slice(section.heading))
        market = the_market(context.market)
        values = {"printed": printed, "wanted": with_.text("wanted"), "market": market}
        if printed and allowed.search(words[section]):
            yield Observation.met(section.heading)
        elif printed:
            yield Observation(section.heading, Certainty.PRACTICE, values)
        elif with_["always"]:
            yield Observation(where(context), Certainty.PRACTICE, values, variant="none")
            return


def feed_type(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label that does not say which type of feed it holds, or says two."""
    with_ = rule.parameters
    complete = stated(context, with_.texts("complete"))
    partial = stated(context, with_.texts("complementary"))
    if other := stated(context, with_.texts("other")):
        materials = [entry for entry in context.declaration.ingredients if entry.match]
        of_one = other.route in with_.texts("of-one") and not (complete or partial)
        printed = one_line(context.source.slice(other.span))
        if of_one and len(materials) > 1 and "?" not in printed:
            values = {"count": len(materials), "printed": printed}
            yield Observation(materials[1].name_span, Certainty.PROVEN, values, "several")
        else:
            yield Observation.met(other.span)
        return
    if complete and partial:
        values = {"other": one_line(context.source.slice(complete.span))}
        related = (Related(complete.span, "the other type is stated here"),)
        yield Observation(partial.span, Certainty.PROVEN, values, "both", related=related)
    elif adequacy := complete or partial:
        yield Observation.met(adequacy.span)
    if complete or partial or not is_whole(context) or not context.label.product_name:
        return
    foreign = next(iter(context.label.adequacy), None)
    if foreign is not None:
        values = {"market": the_market(context.market)}
        yield Observation(foreign.span, Certainty.PROVEN, values, variant="another market")
        return
    vague = with_.words("vague")
    for section in context.label.sections:
        match = None if section.kind in {"declaration", "claims"} else vague.search(section.text)
        if match:
            span = Span(section.body.start + match.start(), section.body.start + match.end())
            values = {"printed": one_line(match.group())}
            yield lacking(context, span, Certainty.PROVEN, values, "vague", "adequacy")
            return
    yield lacking(context, where(context), Certainty.PROVEN, {}, "", "adequacy")


def foreign_statement(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label whose statements are all of another kind than the market's."""
    with_ = rule.parameters
    foreign = next(iter(context.label.adequacy), None)
    if foreign is None or stated(context, with_.texts("routes")):
        return
    words = one_line(context.source.slice(foreign.span))
    is_ours = with_.words("balanced").search(words) is not None
    if is_ours == with_["ours"] and set(with_.texts("except-uses")).isdisjoint(context.uses):
        variant = "stage" if is_ours and foreign.stages else ""
        values = {"statement": words.rstrip("."), "market": the_market(context.market)}
        yield lacking(context, foreign.span, Certainty.PROVEN, values, variant, "adequacy")


def against_words(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a statement that other words of the label contradict, unless they are denied in their
    own sentence ("not intended as a complete diet")."""
    with_ = rule.parameters
    statement = stated(context, with_.texts("routes"))
    if statement is None:
        return
    against = with_.words("words")
    for kind in with_.texts("sections"):
        for section in context.sections_of(kind):
            text = context.source.slice(section.body)
            matches = (m for m in against.finditer(text) if not _is_denied(text, m, with_))
            match = next(matches, None)
            if match is None:
                continue
            place = Span(section.body.start + match.start(), section.body.start + match.end())
            if place.start >= statement.span.start and place.end <= statement.span.end:
                continue
            printed = one_line(context.source.slice(statement.span))
            values = {"statement": printed, "words": one_line(match.group())}
            related = (Related(statement.span, "the statement stands here"),)
            yield Observation(place, Certainty.PRACTICE, values, related=related)
            return


def _is_denied(text: str, match: re.Match[str], with_: Parameters) -> bool:
    before = _SENTENCE_END.split(text[: match.start()])[-1]
    return "denied" in with_ and with_.words("denied").search(before) is not None


def species(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label on which no animal is named."""
    with_ = rule.parameters
    if not is_whole(context):
        return
    named = species_in(context.label.product_name)
    for statement in context.label.adequacy if "another" in rule.says else ():
        if named and statement.species and statement.species != named:
            values = {"animal": statement.species, "other": named}
            yield Observation(statement.span, Certainty.PROVEN, values, "another")
            return
    words = regex(*(w for animal in data("words/statements")["species"] for w in animal["words"]))
    for section in context.label.sections:
        start = min(section.heading.start, section.body.start)
        printed = context.source.text[start : section.body.end]
        match = section.kind != "waiver" and words.search(printed)
        if match:
            yield Observation.met(Span(start + match.start(), start + match.end()))
            return
    place = context.label.product_name_span
    if _is_few(context, with_) or stated(context, with_.texts("except-routes")):
        yield Observation.of_state(State.NOT_DUE, place)
    elif context.label.product_name:
        yield lacking(context, place, Certainty.PROVEN, {}, "", "species")
    else:
        yield Observation.of_state(State.MISSING, where(context))


def stage(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a statement of completeness where nothing says for which life stage."""
    statement = stated(context, rule.parameters.texts("routes"))
    if statement and context.stages:
        yield Observation.met(statement.span)
    elif statement:
        animal = species_in(context.source.slice(statement.span)) or context.species or "pet"
        yield Observation(statement.span, Certainty.PRACTICE, {"species": animal})


def _is_few(context: LabelContext, with_: Parameters) -> bool:
    """Returns whether the food is of few materials, and the product's name names each of them."""
    top = {entry.path for entry in context.declaration.ingredients}
    named = {entry.path for entries in context.supported.values() for entry in entries}
    return 0 < len(top) <= with_.number("unless-named") and top <= named


def _small_print(context: LabelContext) -> tuple[tuple[str, Span], ...]:
    """Returns the words of each section that may carry small print, with its heading, and their
    place."""
    return tuple(
        (f"{context.source.slice(section.heading)} {section.text}", section.body)
        for section in context.label.sections
        if section.kind not in _NOT_SEARCHED
    )
