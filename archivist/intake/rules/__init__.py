"""Rules: each makes evidence of one kind of what was found, and decides nothing."""
