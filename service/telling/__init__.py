"""Telling webhooks: which addresses may be told, how it is signed and sent, and who does it when."""
