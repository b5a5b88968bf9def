"""A plan on paper or on a screen. Pure: domain objects in, text out."""
