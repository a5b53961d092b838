"""Which declared ingredients bear the name of one that the product's name names."""

from collections.abc import Callable, Collection

from panellint.catalogue.model import CatalogueEntry
from panellint.core.text import name_key, singular
from panellint.ingredients.model import Declaration, Ingredient
from panellint.ingredients.product_name import Named
from panellint.rulepacks.data import data


def supporting(
    named: Named, declaration: Declaration, market: str = "us"
) -> tuple[Ingredient, ...]:
    """The declared entries whose name is the named ingredient's own, in printed order.

    "Deboned chicken" and "organic chicken" support "chicken"; chicken fat and chicken broth do not,
    and chicken meal only where a market takes it for dried chicken. A group counts through its
    members, unless its own name fits.
    """
    own = named.match.known
    meals = data("words/names")["meals"] if market in data("words/names")["meals-of"] else ()
    kinds, is_own = _own_name(own, named.name)
    entries: list[Ingredient] = []
    stack = list(reversed(declaration.ingredients))
    while stack:
        entry = stack.pop()
        known = entry.match.known if entry.match else None
        if (
            known is not None
            and (
                known.kind in kinds
                or known.family == own.family
                or own.id in (known.id, known.kind_of)
            )
            and (is_own(known, entry.name) or (known.kind in meals and known.family == own.id))
        ):
            entries.append(entry)
        elif entry.members:
            stack.extend(reversed(entry.members))
    return tuple(entries)


def supports(named: CatalogueEntry, declared: CatalogueEntry, printed: str = "") -> bool:
    """True where a declared ingredient's name is the named one's own name."""
    return _own_name(named, "")[1](declared, printed)


def _own_name(
    named: CatalogueEntry, words: str
) -> tuple[Collection[str], Callable[[CatalogueEntry, str], bool]]:
    """What tells whether a declared ingredient, as printed, bears the name of a named one; and
    the kinds of ingredient that may, beside what is of the same family or the same itself."""
    names = data("words/names")
    generic = names["generic"].get(singular(named.id))
    if generic and name_key(words) in generic.get("names", [name_key(words)]):
        barred = set(names["other-states"]).difference(generic.get("states", ()))
        kinds, whole = generic["kinds"], generic.get("is")

        def is_such(declared: CatalogueEntry, printed: str) -> bool:
            return (
                declared.id in (named.id, generic.get("category"))
                or _is_meat_of(named, declared, printed)
            ) or (
                declared.kind in kinds
                and declared.state not in barred
                and (whole is None or whole in declared.classes)
            )

        return [*kinds, "category"], is_such
    is_whole = named.kind in names["whole-kinds"]
    apart = names["parts-apart"]

    def is_own(declared: CatalogueEntry, printed: str) -> bool:
        if named.id in (declared.id, declared.kind_of) or (
            declared.kind in names["dried-kinds"] and declared.id == f"dried-{named.id}"
        ):
            return True
        if is_whole and declared.kind == named.kind:
            return declared.species == named.species
        if _is_meat_of(named, declared, printed):
            return True
        # By its definition: a hen is chicken, oat groats are oats; mutton is summed with lamb and
        # is none.
        above = [above_it for above_it in declared.classes if above_it != declared.family]
        if declared.kind == named.kind and (named.id in above or named.id == declared.species):
            return name_key(printed).rsplit(" ", 1)[-1] not in apart
        # Cod skin is fish skin, duck liver poultry liver: the same part of an animal of the kind;
        # a part that is named without an animal ("antler") is of any.
        key = name_key(words)
        part = key.rsplit(" ", 1)[-1]
        of_kind = named.species in above or (part == key and named.origin == "animal")
        # In another number or tongue it ends otherwise: "Herz" of the name is "Herzen" in the list.
        of_animal = named.species != declared.species and declared.id.endswith(f"-{named.id}")
        same = of_animal or name_key(printed).endswith(part)
        if part and declared.kind == named.kind and of_kind and same:
            return True
        akin = named.family == declared.family if named.family else named.kind == declared.kind
        whole = f" {name_key(printed)}"  # "deboned chicken", "brown rice"
        return akin and any(whole.endswith(f" {name_key(own)}") for own in named.names)

    return (named.kind,), is_own


def _is_meat_of(named: CatalogueEntry, declared: CatalogueEntry, printed: str) -> bool:
    """True where a part is the named animal's meat by definition, as the heart is (9 CFR 301.2)."""
    meat = data("words/names")["meat-parts"]
    return (
        declared.kind == "organ"
        and named.kind == "muscle-meat"
        and declared.species in meat["of"]
        and declared.species == named.species
        and singular(name_key(printed).rsplit(" ", 1)[-1]) in meat["words"]
    )
