"""The adequacy statement: whether it stands there, and whether it agrees with the rest."""

import re
from collections.abc import Iterator
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.source import Span, SpanIndex
from panellint.core.text import one_line, unbroken
from panellint.core.wording import Wording, regex, spaced
from panellint.ingredients.mentions import mentions
from panellint.label.statements import species_in, stages_in
from panellint.lint.checks.support.free_text import free_text_matches
from panellint.lint.checks.support.label_parts import (
    is_doubtful,
    is_whole,
    lacking,
    not_read,
    stated,
    where,
)
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.parameters import Parameters

#: "the Association ... (AAFCO)", "Officials' procedures".
_SIGNS = re.compile("[()]|(?<=[sS])['’](?= )")


def missing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a whole label without an adequacy statement that it owes."""
    with_ = rule.parameters
    none = with_["no-statements"].get(context.edition, ())
    stated = [adequacy for adequacy in context.label.adequacy if adequacy.route not in none]
    if stated:
        yield Observation.met(stated[0].span)
    if stated or not is_whole(context):
        return
    claim = complete_claim(context, with_)
    written = next((section for section in context.sections_of("adequacy") if section.text), None)
    if written is not None:
        yield not_read(context, written.body)
        return
    if claim is not None:
        values = {"claim": one_line(context.source.slice(claim))}
        yield lacking(context, claim, Certainty.PROVEN, values, "claimed", "adequacy")
        return
    as_a_treat = any(free_text_matches(context, _treat_words()))  # "feed as a treat"
    if not as_a_treat and set(with_["except-uses"].get(context.edition, ())).isdisjoint(
        context.uses
    ):
        yield lacking(context, where(context), Certainty.PROVEN, {}, "", "adequacy")
    elif is_doubtful(context, rule) or _calls_itself(
        context, with_["called"].get(context.edition, ())
    ):
        yield Observation.of_state(State.NOT_DUE, where(context))
    else:
        # "Biscuits" go for treats; a broth that is called no supplement is a food by its name.
        known = as_a_treat or not set(with_.texts("known-by-other-words")).isdisjoint(context.uses)
        sure = Certainty.PRACTICE if known else Certainty.POSSIBLE
        yield lacking(context, where(context), sure, {}, "other word", "adequacy")


@cache
def _treat_words() -> Wording:
    return Wording(data("words/uses")["as-a-treat"])


def _calls_itself(context: LabelContext, words: tuple[str, ...]) -> bool:
    """Returns whether name, form or the statement of intended use have one of the words."""
    stated = " ".join(s.text for s in context.sections_of("adequacy"))
    called = f"{context.called} {stated}"
    return not words or re.search(rf"\b(?:{'|'.join(words)})", called, re.IGNORECASE) is not None


def size_excluded(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food named for large puppies beside a statement that leaves their growth out."""
    with_ = rule.parameters
    named = with_.words("words").search(context.label.product_name)
    young = not set(with_.texts("stages")).isdisjoint(stages_in(context.label.product_name))
    stated = next((adequacy for adequacy in context.label.adequacy if adequacy.large_size), None)
    if named is None or not young or stated is None:
        return
    start = context.label.product_name_span.start
    if stated.large_size != "excluded":
        yield Observation.met(stated.span)
        return
    yield Observation(
        Span(start + named.start(), start + named.end()),
        Certainty.PROVEN,
        {"named": one_line(named.group())},
        related=(Related(stated.span, "the statement leaves it out here"),),
    )


def complete_claim(context: LabelContext, with_: Parameters) -> Span | None:
    """Returns the first words in name or claims that call the food complete (`claims`), or None."""
    claims = free_text_matches(context, with_.words("claims"))
    return next((stretch.span(match) for stretch, match in claims), None)


def contradiction(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a statement that the food is complete beside one that it is not."""
    with_ = rule.parameters
    whole = stated(context, with_.texts("complete"))
    partial = stated(context, with_.texts("partial"))
    if whole and partial:
        yield Observation(
            partial.span,
            Certainty.PRACTICE,
            related=(Related(whole.span, "the other statement stands here"),),
        )
    elif whole or partial:
        yield Observation.met(context.label.adequacy[0].span)


def species(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a statement about another animal than the label is for."""
    meant = species_in(context.fact("species") or "") or species_in(context.label.product_name)
    for statement in context.label.adequacy:
        if meant and statement.species and statement.species != meant:
            yield Observation(
                _word(context, statement.span, "species", statement.species),
                Certainty.PROVEN,
                {"meant": meant, "printed": statement.species},
            )
        elif meant and statement.species:
            yield Observation.met(statement.span)


def stage(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a name for the young, or a claim on every age, beside a statement that leaves them
    out."""
    with_ = rule.parameters
    name = context.label.product_name
    named = [in_name for in_name in stages_in(name) if in_name in with_.texts("named")]
    stated = [statement for statement in context.label.adequacy if statement.stages]
    stages = {stage for statement in stated for stage in statement.stages}
    if named and not stages.isdisjoint(with_.texts("enough")):
        yield Observation.met(stated[0].span)
    if not stated or not stages.isdisjoint(with_.texts("enough")):
        return
    if not named:
        said = (t.span(m) for t, m in free_text_matches(context, with_.words("claims")))
        own = SpanIndex(statement.span for statement in context.label.adequacy)
        place = next((span for span in said if not own.overlap(span)), None)
        if place is not None:
            values = {"claim": one_line(context.source.slice(place)), "stated": sorted(stages)}
            related = (Related(stated[0].span, "the statement stands here"),)
            yield Observation(place, Certainty.PRACTICE, values, "claimed", related=related)
        return
    yield Observation(
        _word(context, context.label.product_name_span, "stages", named[0], key="stage"),
        Certainty.PROVEN,
        {"stated": sorted(stages)},
        related=(Related(stated[0].span, "the statement stands here"),),
    )


def subject(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a statement whose food has an animal or a plant that neither the product's name nor the
    list has: it is another product's. What is added to the food ("prepared with beef") is none."""
    named = [mention.match.known for mention in mentions(context.called, context.lookup)]
    listed = [entry.match.known for entry in context.entries if entry.match]
    if context.label.foods or len(listed) < len(context.entries) or not (listed and named):
        return
    known = (*named, *listed)
    species = {each.species for each in known} - {""}
    classes = {name for each in known for name in each.classes}
    for statement in context.label.adequacy:
        before = rule.parameters.words("before").search(context.source.slice(statement.span))
        printed = context.source.slice(statement.span)[: before.start() if before else None]
        for mention in mentions(printed, context.lookup):
            own = mention.match.known
            alike = own.species in {*species, *classes} or not species.isdisjoint(own.classes)
            if own.species and not alike and own.id not in data("words/names")["generic"]:
                start = statement.span.start
                place = Span(start + mention.span[0], start + mention.span[1])
                values = {"named": context.source.slice(place), "name": context.label.product_name}
                yield Observation(place, Certainty.PRACTICE, values)
                break


def wording(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds statements whose wording is not the enacted one, or that name no life stage."""
    with_ = rule.parameters
    for adequacy in context.label.adequacy:
        enacted = with_.wordings("enacted").get(adequacy.route)
        if enacted is None:
            continue
        printed = one_line(unbroken(context.label.page.slice(adequacy.span)))
        values = {"printed": printed}
        also = with_.wordings("also").get(adequacy.route)
        if not all(words.search(_SIGNS.sub("", printed)) for words in (enacted, also) if words):
            # What owes no statement may say in its own words that it is no whole diet.
            owed = set(with_["except-uses"].get(context.edition, ())).isdisjoint(context.uses)
            if owed or adequacy.route not in with_.texts("own-words"):
                yield Observation(adequacy.span, Certainty.PRACTICE, values)
            else:
                yield Observation(adequacy.span, Certainty.POSSIBLE, values, variant="not due")
        elif adequacy.route in with_.texts("with-stage"):
            after = _after_profiles(printed)
            if not with_.words("stages").search(after):
                place = _behind(context, adequacy.span)
                yield Observation(place, Certainty.PRACTICE, values, variant="stage")
                continue
            yield Observation.met(adequacy.span)
        else:
            yield Observation.met(adequacy.span)


def _behind(context: LabelContext, span: Span) -> Span:
    """Returns the part of a statement behind the words that lead to its life stage; the whole where
    there are none."""
    printed = context.source.slice(span)
    after = _after_profiles(printed).rstrip()
    start = span.start + printed.rfind(after) if after else span.start
    start += len(after) - len(after.lstrip())
    return Span(start, start + len(after.strip())) if re.search(r"\w", after) else span


def _after_profiles(printed: str) -> str:
    """Returns what a statement says behind the words that lead to its life stage."""
    ends = [match.end() for match in regex(*data("words/statements")["after"]).finditer(printed)]
    return printed[max(ends, default=0) :]


def large_size(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds statements for growth that do not say whether large-size dogs are meant."""
    with_ = rule.parameters
    for statement in context.label.adequacy:
        stages = [name for name in statement.stages if name in with_.texts("stages")]
        if not with_.words("words").search(context.source.slice(statement.span)):
            continue
        if statement.route not in with_.texts("routes") or not stages:
            continue
        printed = context.source.slice(statement.span)
        after = _after_profiles(printed)
        if with_.words("enacted").search(printed):
            yield Observation.met(statement.span)
        elif match := with_.words("large").search(after):  # the name may be "Large Breed Puppy"
            values = {"printed": one_line(after[match.start() :]).rstrip("."), "stage": stages[0]}
            start = statement.span.start + printed.rfind(after)
            place = Span(start + match.start(), start + match.end())
            yield Observation(place, Certainty.PRACTICE, values, variant="wording")
        else:
            yield Observation(
                _word(context, _behind(context, statement.span), "stages", stages[0], key="stage"),
                Certainty.PROVEN,
                {"stage": stages[0]},
            )


def _word(context: LabelContext, span: Span, part: str, name: str, key: str = "species") -> Span:
    """Returns the words in a stretch by which a species or a stage was read; the stretch where they
    cannot be found."""
    words = next(row["words"] for row in data("words/statements")[part] if row[key] == name)
    match = re.search(spaced("|".join(words)), context.source.slice(span), re.IGNORECASE)
    return Span(span.start + match.start(), span.start + match.end()) if match else span
