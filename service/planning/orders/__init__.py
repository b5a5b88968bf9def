"""The arithmetic of orders: what plans ask for added up, spares pooled, stock taken off, packs rounded up once.

The way of an order: what each source asks is summed (``summing``), brought together with pooled spares (``needs``),
and settled against the stock there is (``settling``). What a change of state does to the stock stands in ``moving``.
"""
