"""The wall that a thing hangs on, as one stands before it."""
