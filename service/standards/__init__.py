"""Published figures of the trade as data, each with its source and how well we know it. Imports the domain alone."""
