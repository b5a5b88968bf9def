"""Pages for people, rendered on the server: the same answers as the API gives, in words and tables."""
