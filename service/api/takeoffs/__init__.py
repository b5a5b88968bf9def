"""Takeoffs over HTTP: sent, watched, read, cancelled."""
