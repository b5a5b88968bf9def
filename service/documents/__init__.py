"""Plain functions between domain objects and the JSON-able dicts that callers send and get."""
