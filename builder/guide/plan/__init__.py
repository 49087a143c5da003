"""The locator plan: each floor of a home as plain values, and as a drawing made from them."""
