"""One module a schema revision."""
