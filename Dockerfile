# Build:  docker build -t traywright .
# Run:    docker run --rm --network host -v traywright:/data traywright
#
# Without access tokens the server listens on the loopback address alone, so a published port would reach nothing: run it
# on the host's network, or make a token first (docker run --rm -v traywright:/data traywright tokens add --name Office
# --scope admin), and then publish a port of "serve --host 0.0.0.0".
FROM python:3.11-slim

RUN useradd --system --uid 10001 --create-home --home-dir /data planner

WORKDIR /app
COPY pyproject.toml README.md LICENSE openapi.yaml ./
COPY service service
COPY demo demo
RUN pip install --no-cache-dir . && rm -rf /app/service /app/demo

USER planner
WORKDIR /data
VOLUME /data
ENV PYTHONUNBUFFERED=1 TRAYWRIGHT_DATABASE=sqlite:////data/traywright.db

HEALTHCHECK --interval=30s --timeout=3s --start-period=20s \
  CMD ["python", "-c", "import urllib.request; urllib.request.urlopen('http://127.0.0.1:8080/healthz', timeout=2)"]

ENTRYPOINT ["python", "-m", "service"]
CMD ["serve", "--port", "8080"]
