"""How many requests a caller may send: off unless the operator sets a rate."""
