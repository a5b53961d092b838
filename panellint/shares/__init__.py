"""What a label proves of the shares of its ingredients.

`tree` reads the declaration as weights. `solver` holds what the label states as constraints
(`constraints`, `guarantees`, `composition`), the programs over them, the certificates that prove
their bounds, and the questions about all formulas that fit (`formula_set`). `exact` answers the
same questions from the declaration alone, without the solver; `engine` asks it first. `likely`
says what is likely and proves nothing. `model` holds questions and answers, `premises` what they
may rest on, `explain` the sentences.
"""
