"""Terminal views of the other questions, one file a question."""
