"""What several checks share."""
