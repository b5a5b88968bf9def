"""From joints to a plan: pure functions, domain in, domain out. No clock, no network, no database."""
