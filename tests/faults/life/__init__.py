"""A service's life drawn at random, a part in each module, and the few dictionaries that say how it should stand."""
