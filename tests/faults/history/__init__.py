"""Histories of concurrent reads and conditional writes: recorded, and checked for lost updates and stale reads."""
