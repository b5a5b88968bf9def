"""Takeoffs: many splice points at once, equal ones planned once, in chunks that any process can work on."""
