"""The documentation that the service carries with it: the reference made of ``openapi.yaml``, and the guide."""
