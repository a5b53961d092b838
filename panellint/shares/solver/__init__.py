"""Share bounds by linear programs, each with a certificate."""
