"""Which files are linted, in how many processes, and what is new among the findings."""
