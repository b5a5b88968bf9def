"""Webhooks: who is told of what, and what became of it."""
