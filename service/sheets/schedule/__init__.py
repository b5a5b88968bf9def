"""The splice schedule: a row a splice in the order of the trays, to be worked from and filled in."""
