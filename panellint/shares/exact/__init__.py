"""Share bounds without the solver."""
