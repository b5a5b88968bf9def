"""Closures that hang somewhere, over HTTP: hung from a plan, added to, and changed by visits."""
