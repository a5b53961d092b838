"""Checks what `panellint shares --format certificate` prints: `python certificate_checker.py FILE`.

It shares no code with the package and trusts none of its figures: it adds up, in fractions, what
each claim says. What a row says in words is for a reader to hold against the label.
"""

import json
import sys
from fractions import Fraction


def column_terms(columns, weights, sign=1):
    """Leaves with factors, as factors of the columns."""
    return [sign * Fraction(weights.get(str(one["leaf"]), 0)) for one in columns]


def base_of(columns, name):
    """By column, whether it is part of a base."""
    if name == "without processing water":
        return [one["leaf"] is not None and not one["water"] for one in columns]
    if name == "finished food":
        return [one["part"] != "lost" for one in columns]
    if name == "dry matter":
        return [one["part"] not in ("lost", "moisture", "gained") for one in columns]
    return [one["leaf"] is not None for one in columns]


def condition_terms(columns, condition):
    """A condition as a sum that is not below nothing."""
    needs, base = Fraction(condition["needs"]) / 100, base_of(columns, condition["base"])
    terms = column_terms(columns, condition["weights"])
    terms = [term - needs * inside for term, inside in zip(terms, base, strict=True)]
    return [-term for term in terms] if condition["bound"] == "max" else terms


def faults_of(claim, columns, rows):
    """What is wrong with one claim."""
    sums = column_terms(columns, claim["objective"])
    for condition in claim["conditions"]:
        share = Fraction(condition["multiplier"])
        if share < 0 and claim["kind"] != "implied":
            yield "a condition is taken below nothing"
        terms = condition_terms(columns, condition)
        sums = [total + share * term for total, term in zip(sums, terms, strict=True)]
    for row, multiplier in claim["rows"].items():
        if Fraction(multiplier) < 0:
            yield f"row {row} is taken below nothing"
        for column, value in rows[row]["values"].items():
            sums[int(column)] += Fraction(multiplier) * Fraction(value)
    bound, mix = Fraction(claim["bound"]), base_of(columns, "mix")
    for total, inside, column in zip(sums, mix, columns, strict=True):
        if total > bound * inside:
            yield f"{column['ingredient']} {column['part']} comes to {total}"
    limits = {"refuted": bound < 0, "no formula fits": bound < 0, "implied": bound <= 0}
    if not limits.get(claim["kind"], True):
        yield f"a bound of {bound} shows nothing"


def check(data):
    """All faults of a certificate, none where every claim adds up and every verdict has one."""
    found = []
    for claim in data["claims"]:
        for fault in faults_of(claim, data["columns"], data["rows"]):
            found.append(f"{claim['of']}, {claim['kind']}: {fault}")
    shown = {(claim["of"], claim["kind"]) for claim in data["claims"]}
    for promise, verdict in data["verdicts"].items():
        if verdict != "open" and (promise, verdict) not in shown:
            found.append(f"{promise}: nothing shows that it is {verdict}")
    return found


if __name__ == "__main__":
    with open(sys.argv[1], encoding="utf-8") as file:
        faults = check(json.load(file))
    print("\n".join(faults) or "every claim adds up")
    sys.exit(bool(faults))
