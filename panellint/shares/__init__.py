"""What a label proves of the shares of its ingredients.

`tree` reads the declaration as weights; `rows`, `guarantees` and `composition` say what the
label states, each row with its premise and its reason; `solver` finds multipliers and
`certificate` proves bounds with them; `system` keeps both for one choice of unknowns;
`formulas`, `judging`, `clash` and `rank` answer questions; `likely` estimates. `order`, `corners`,
`spread`, `ends` and `game` answer the same questions from the declaration alone, without the
solver.
`answers` holds what is asked and told, `premises` what it may rest on, `words` the sentences.
"""
