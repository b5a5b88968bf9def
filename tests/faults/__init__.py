"""Processes killed in the middle of their work."""
