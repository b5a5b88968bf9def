"""Who may ask for what: tokens on their way in, and what is done with them."""
