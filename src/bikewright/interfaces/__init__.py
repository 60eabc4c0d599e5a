"""Ways to ask: the command line. No arithmetic and no wording of results here."""
