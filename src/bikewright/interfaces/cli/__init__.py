"""The command line: it reads what was typed, asks a study, and prints what a report says."""
