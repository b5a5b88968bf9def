"""The words of the trade as frozen dataclasses. Imports nothing but the standard library."""
