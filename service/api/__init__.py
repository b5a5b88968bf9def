"""The service over HTTP, as ``openapi.yaml`` publishes it. The only place that knows of requests and answers."""
