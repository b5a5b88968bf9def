"""Webhooks, the events that they are told of, and the deliveries."""
