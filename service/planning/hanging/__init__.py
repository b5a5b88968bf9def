"""A closure that hangs: what lies in it, what room it has, what may be added, and what is left when something goes."""
