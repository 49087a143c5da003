"""The plan of a house type with its findings, for its author to look at while it is corrected."""
