"""Schemathesis against a real server: it knows the description alone, and what lies in the database to begin with."""
