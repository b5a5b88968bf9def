"""Every answer of the packing core held against independent ones, on random cases of all families and rules.

Run with ``python -m tests.bench.agreement --cases 20000 [--first N] [--workers 1|2] [--seconds S] [--only KIND ...]``.
Case n is the same problem in every run, so a run goes on where another stopped with ``--first N``. Exits 1 on any
disagreement, after telling how to see it again.
"""
