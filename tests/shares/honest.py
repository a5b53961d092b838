"""Random true formulas and honest labels of them, for property tests.

A formula is drawn first: weights, what each ingredient is made of, water that processing takes
out or adds. Then a maker prints a label of it that breaks no rule: descending order, groups in
the order of their weights, percentages rounded or one-sided, a tail in any order, guarantees on
the safe side. Whatever is concluded from the label must be true of the formula.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from panellint.catalogue.model import PARTS, CatalogueEntry, Match, Range
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Bound, Guarantee, Percent, PercentOf

from .materials import MATERIALS, MINORS, PARTS_OF_TABLE, TRACE, VITAMINS
from .truth import NOWHERE, HonestLabel, Path


def honest_label(seed: int) -> HonestLabel:
    """A random true formula of 5 to 40 ingredients with an honest label of it."""
    return _Maker(random.Random(seed)).make()


def united_label(seed: int) -> HonestLabel:
    """The same of a market where a list, with its percentages, may count by the weight as mixed,
    by dry matter, or by what is left of each at the moisture of the food; where a group's place is
    that of all of it or of its heaviest member; and where water need not be listed."""
    rng = random.Random(seed)
    return _Maker(rng, rng.choice(("mixed", "dry", "left"))).make()


@dataclass
class _Item:
    name: str
    weight: int
    kind: str = ""
    members: list[_Item] = field(default_factory=list)
    partial: bool = False
    any_of: bool = False
    in_tail: bool = False
    component: bool = False
    ranges: dict[str, Range] = field(default_factory=dict)
    content: dict[str, Fraction] = field(default_factory=dict)
    usual: Range | None = None

    @property
    def total(self) -> int:
        return self.weight + sum(member.total for member in self.members)

    def counted(self, by: str, moisture: Fraction) -> Fraction:
        """The weight that a list counts; `moisture` is that of the food."""
        own = Fraction(self.weight)
        if by != "mixed" and own:
            dry = own * (1 - self.content["moisture"])
            own = dry if by == "dry" else min(own, dry / (1 - moisture))
        return own + sum((member.counted(by, moisture) for member in self.members), Fraction(0))


class _Maker:
    def __init__(self, rng: random.Random, by: str = "") -> None:
        self.rng = rng
        self.united = bool(by)
        self.by = by or "mixed"
        self.moisture = Fraction(rng.randint(5, 85), 100) if by else Fraction(0)
        self.wet = rng.random() < 0.45

    def make(self) -> HonestLabel:
        majors = self._majors()
        hidden = self._hidden(majors)
        items = self._grouped(
            [item for item in majors if not any(item is other for other in hidden)] + self._minors()
        )
        whole = sum(item.total for item in (*items, *hidden))
        counted = sum((self._counted(item) for item in (*items, *hidden)), Fraction(0))
        printed, cap = self._ordered(items, whole)
        entries = tuple(
            self._entry(item, (i,), counted, cap if item.in_tail else None)
            for i, item in enumerate(printed)
        )
        shares: dict[Path, Fraction] = {}
        ranges: dict[Path, Mapping[str, Range]] = {}
        contents: dict[Path, Mapping[str, Fraction]] = {}
        usual: dict[Path, Range] = {}
        listed: dict[Path, Fraction] = {}
        stack = [((i,), item) for i, item in enumerate((*printed, *hidden))]
        while stack:
            path, item = stack.pop()
            stack.extend(((*path, i), member) for i, member in enumerate(item.members))
            if not item.members or item.partial:
                shares[path] = Fraction(100 * item.weight, whole)
                alone = replace(item, members=[])
                listed[path] = 100 * self._counted(alone) / counted
                contents[path] = item.content
                ranges[path] = item.ranges
                if item.usual:
                    usual[path] = item.usual
        label = HonestLabel(
            Declaration(entries),
            (),
            ranges,
            Range(0, 0),
            shares,
            contents,
            Fraction(0),
            usual,
            tuple("water" if item.name == "water" else "additives" for item in hidden),
            listed if self.united else None,
        )
        lost, water = self._drying(label)
        label = replace(label, lost=lost, water=water)
        return replace(label, guarantees=self._guarantees(label))

    # ---- the formula ----

    def _majors(self) -> list[_Item]:
        rng = self.rng
        names = [n for n in MATERIALS if n != "water" and (self.wet or n != "chicken broth")]
        chosen = rng.sample(names, rng.randint(3, 14))
        if self.wet and rng.random() < 0.8:
            chosen.append("water")
        items = []
        for name in chosen:
            weight = int(10**6 * rng.gammavariate(rng.choice((0.6, 1.5)), 1)) + rng.randint(0, 1)
            items.append(self._leaf(name, weight, *MATERIALS[name]))
        for item in items:
            if rng.random() < 0.05 and item.kind != "water":
                item.ranges = {}
        return items

    def _hidden(self, majors: list[_Item]) -> list[_Item]:
        """What the market lets the maker leave out of the list: water, additives."""
        rng = self.rng
        if rng.random() < (0.3 if self.united else 0.75):
            return []
        hidden = [item for item in majors if item.name == "water"]
        if rng.random() < 0.5:
            listed = sum(item.total for item in majors)
            hidden.append(self._mineral("additives", int(listed * rng.uniform(0, 0.04))))
        return hidden

    def _minors(self) -> list[_Item]:
        rng = self.rng
        names = rng.sample(sorted(MINORS), rng.randint(1, len(MINORS)))
        thin = 4 if self.wet else 1
        items = []
        for name in names:
            low, high = MINORS[name]
            weight = int(10**5 * rng.uniform(low, high) / thin)
            leaf = self._mineral(name, weight)
            leaf.usual = Range(round(low / 5, 4), round(high * 1.5, 4))
            items.append(leaf)
        if rng.random() < 0.5:
            items.append(self._premix("vitamins", VITAMINS, thin))
            items.append(self._premix("minerals", TRACE, thin))
        return items

    def _premix(self, name: str, names: tuple[str, ...], thin: int) -> _Item:
        rng = self.rng
        level = 10**5 * rng.uniform(0.1, 0.5) / thin
        chosen = rng.sample(names, rng.randint(2, len(names)))
        parts = [rng.gammavariate(0.7, 1) for _ in chosen]
        members = [
            self._mineral(n, int(level * p / sum(parts)))
            for n, p in zip(chosen, parts, strict=True)
        ]
        return _Item(name, 0, members=sorted(members, key=lambda m: -m.weight))

    def _leaf(
        self, name: str, weight: int, kind: str, table: tuple[tuple[float, float], ...]
    ) -> _Item:
        ranges = {part: Range(*ends) for part, ends in zip(PARTS_OF_TABLE, table, strict=True)}
        if self.rng.random() < 0.3:
            del ranges[self.rng.choice(("fibre", "ash", "carbohydrate", "calcium"))]
        full = {part: Range(*ends) for part, ends in zip(PARTS_OF_TABLE, table, strict=True)}
        content = self._drawn(full)
        calcium = full["calcium"]
        content["calcium"] = min(self._between(calcium), content["ash"])
        low = min(calcium.low, float(content["calcium"]) * 99)
        if "calcium" in ranges:
            ranges["calcium"] = Range(
                round(low, 4) if low < calcium.low else calcium.low, calcium.high
            )
            if Fraction(str(ranges["calcium"].low)) / 100 > content["calcium"]:
                del ranges["calcium"]
        return _Item(name, weight, kind, ranges=ranges, content=content)

    def _mineral(self, name: str, weight: int) -> _Item:
        rng = self.rng
        if rng.random() < 0.3:
            ranges: dict[str, Range] = {}
            full = dict.fromkeys(PARTS, Range(0, 100))
        else:
            ranges = {"moisture": Range(0, 10), "fat": Range(0, 5), "protein": Range(0, 70)}
            full = {**dict.fromkeys(PARTS, Range(0, 100)), **ranges}
        content = self._drawn(full)
        content["calcium"] = content["ash"] * rng.randint(0, 40) / 100
        return _Item(name, weight, "mineral", ranges=ranges, content=content)

    def _between(self, ends: Range) -> Fraction:
        low, high = (Fraction(str(end)) / 100 for end in ends)
        side = self.rng.random()
        step = Fraction(
            0 if side < 0.1 else 1000 if side > 0.9 else self.rng.randint(0, 1000), 1000
        )
        return low + (high - low) * step

    def _drawn(self, ranges: Mapping[str, Range]) -> dict[str, Fraction]:
        """Six parts inside their ranges that come to one together."""
        parts = {part: Fraction(str(ranges[part].low)) / 100 for part in PARTS}
        left = 1 - sum(parts.values())
        order = list(PARTS)
        while left > 0:
            self.rng.shuffle(order)
            for part in order:
                room = Fraction(str(ranges[part].high)) / 100 - parts[part]
                more = min(left, room * Fraction(self.rng.randint(0, 1000), 1000))
                if self.rng.random() < 0.1:
                    more = min(left, room)
                parts[part] += more
                left -= more
        return parts

    # ---- the label ----

    def _grouped(self, items: list[_Item]) -> list[_Item]:
        rng = self.rng
        rng.shuffle(items)
        if rng.random() < 0.4 and len(items) > 6:
            size = rng.randint(2, 4)
            inside, items = items[:size], items[size:]
            if not any(m.members for m in inside):
                inside.sort(key=lambda m: -m.total)
                group = _Item("chicken dinner base", 0, members=inside)
                if rng.random() < 0.5:
                    group.partial = True
                    rest = self._leaf("rest", rng.randint(0, 10**6), *MATERIALS["beef"])
                    group.weight, group.content, group.ranges = (
                        rest.weight,
                        rest.content,
                        rest.ranges,
                    )
                    if rng.random() < 0.5:
                        group.ranges = {}
                    rng.shuffle(group.members)
                items.append(group)
            else:
                items.extend(inside)
        if rng.random() < 0.15:
            for name in ("beef tallow", "pork lard"):
                weight = rng.choice((0, rng.randint(0, 10**5)))
                item = self._leaf(name, weight, *MATERIALS["chicken fat"])
                item.any_of = True
                items.append(item)
        if rng.random() < 0.1:
            parts = [
                self._leaf(n, rng.randint(1, 10**6), *MATERIALS[n]) for n in ("potato", "oats")
            ]
            parts.sort(key=lambda m: -m.total)
            items.append(_Item("gravy", 0, members=parts, component=True))
        return items

    def _ordered(self, items: list[_Item], whole: int) -> tuple[list[_Item], Decimal | None]:
        rng = self.rng
        rng.shuffle(items)
        heaviest = self.united and rng.random() < 0.5
        items.sort(key=lambda item: -self._place(item, heaviest=heaviest))
        cap = None
        if not self.united and rng.random() < 0.4:
            cap = rng.choice((Decimal(2), Decimal(1), Decimal("0.5")))
            tail = [
                item
                for item in items
                if Fraction(100 * item.total, whole) <= Fraction(cap) and not item.component
            ]
            for item in tail:
                item.in_tail = True
            rng.shuffle(tail)
            items = [item for item in items if not item.in_tail] + tail
        loose = [item for item in items if item.any_of and not item.in_tail]
        for item in loose:
            items.remove(item)
            items.insert(rng.randint(0, len(items)), item)
        return items, cap

    def _counted(self, item: _Item) -> Fraction:
        return item.counted(self.by, self.moisture)

    def _place(self, item: _Item, *, heaviest: bool) -> Fraction:
        """What a place in the list goes by: of a full group all of it, or its heaviest member."""
        if heaviest and item.members and not item.partial:
            return max(self._counted(member) for member in item.members)
        return self._counted(item)

    def _entry(self, item: _Item, path: Path, whole: Fraction, cap: Decimal | None) -> Ingredient:
        members = tuple(
            self._entry(member, (*path, i), self._counted(item), None)
            for i, member in enumerate(item.members)
        )
        of = PercentOf.FOOD
        if len(path) > 1:
            of = PercentOf.PARENT
        percent = None
        if whole and self.rng.random() < 0.12:
            percent = self._percent(100 * self._counted(item) / whole, of)
        return Ingredient(
            item.name,
            NOWHERE,
            NOWHERE,
            path,
            match=Match(
                CatalogueEntry(item.kind or item.name, (item.name,), item.kind or "mixed", ""),
                "name",
            ),
            percent=percent,
            members=members,
            partial=item.partial,
            any_of=item.any_of,
            at_most=cap,
            component=item.component,
        )

    def _percent(self, share: Fraction, of: PercentOf) -> Percent:
        rng = self.rng
        unit = Decimal(1).scaleb(-rng.randint(0, 2))
        exact = Decimal(share.numerator) / Decimal(share.denominator)
        bound = rng.choice((Bound.EXACT, Bound.EXACT, Bound.MIN, Bound.MAX, Bound.ABOUT))
        rounding = {Bound.MIN: ROUND_FLOOR, Bound.MAX: ROUND_CEILING}.get(bound, ROUND_HALF_EVEN)
        value = exact.quantize(unit, rounding=rounding)
        if bound is Bound.ABOUT:
            value += unit * rng.randint(0, 3)
        return Percent(value, bound, of if rng.random() < 0.9 else PercentOf.UNCLEAR, NOWHERE)

    # ---- processing and the analysis ----

    def _drying(self, label: HonestLabel) -> tuple[Fraction, Range]:
        rng = self.rng
        wet = label.mixed("moisture") / 100
        if self.wet:
            lost = min(Fraction(rng.randint(-50, 60), 1000), wet * Fraction(9, 10))
        else:
            lost = min(wet * Fraction(rng.randint(0, 1000), 1000), Fraction(85, 100))
        percent = 100 * float(lost)
        width = rng.choice((0.5, 5.0, 30.0))
        low = percent - width * rng.random() - 0.001
        high = min(percent + width * rng.random() + 0.001, 94.0)
        return lost, Range(round(low, 4), round(high, 4))

    def _guarantees(self, label: HonestLabel) -> tuple[Guarantee, ...]:
        rng = self.rng
        if rng.random() < 0.15:
            return ()
        european = rng.random() < 0.3
        dry = rng.random() < 0.1
        found = []
        wanted = ["protein", "fat", "fibre", "moisture"]
        wanted += [n for n in ("ash", "calcium") if rng.random() < 0.4]
        for nutrient in wanted:
            if dry and nutrient == "moisture":
                continue
            truth = label.finished(nutrient, "dry matter" if dry else "finished food")
            unit = Decimal(1).scaleb(-rng.choice((0, 1, 1, 2)))
            exact = Decimal(truth.numerator) / Decimal(truth.denominator)
            slack = Decimal(str(round(rng.choice((0, 0.3, 2)) * rng.random(), 2)))
            if european:
                bound = Bound.DECLARED
                value = exact.quantize(Decimal("0.1"))
                off = Decimal(str(round(rng.uniform(-0.4, 0.4), 1)))
                value = max(value + off, Decimal(0))
            elif nutrient in ("protein", "fat", "calcium") and rng.random() < 0.95:
                bound = Bound.MIN
                value = max(exact - slack, Decimal(0)).quantize(unit, rounding=ROUND_FLOOR)
            else:
                bound = Bound.MAX
                value = (exact + slack).quantize(unit, rounding=ROUND_CEILING)
            found.append(
                Guarantee(
                    nutrient,
                    nutrient,
                    bound,
                    value,
                    "%",
                    "dry matter" if dry else "as fed",
                    NOWHERE,
                    NOWHERE,
                    NOWHERE,
                )
            )
        return tuple(found)
