"""Forms that are made from the model's own types: a field of a record is a field of a page."""
