"""One label with everything known about it, and the questions that checks and views share."""
