"""Pages of closures that hang: found, read, added to, and changed by visits."""
