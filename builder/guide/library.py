"""A workspace without any of them."""
