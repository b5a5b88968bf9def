# Build:  docker build -t traywright .
# Run:    docker run --rm --read-only --tmpfs /tmp --network host -v traywright:/data traywright
# With PostgreSQL, the queue and two workers: demo/compose.yaml
#
# Without access tokens the server listens on the loopback address alone, so a published port would reach nothing: run it
# on the host's network, or make a token first (docker run --rm -v traywright:/data traywright tokens add --name Office
# --scope admin), and then publish a port of "serve --host 0.0.0.0".
FROM python:3.11-slim-trixie AS build

WORKDIR /src
COPY pyproject.toml README.md LICENSE openapi.yaml .ci/constraints.txt ./
COPY service service
COPY demo demo
RUN python -m venv /opt/traywright \
  && /opt/traywright/bin/pip install --no-cache-dir --constraint constraints.txt '.[engine,traces,redis]' \
  && /opt/traywright/bin/pip uninstall --yes setuptools pip

FROM python:3.11-slim-trixie

# pg_dump and pg_restore, for "database backup" and "database restore" on PostgreSQL up to 17
RUN apt-get update \
  && apt-get install --yes --no-install-recommends postgresql-client \
  && rm -rf /var/lib/apt/lists/* \
  && useradd --system --uid 10001 --no-create-home --home-dir /data planner \
  && install --directory --owner planner --mode 700 /data

COPY --from=build /opt/traywright /opt/traywright
ENV PATH=/opt/traywright/bin:$PATH \
  PYTHONUNBUFFERED=1 \
  PYTHONDONTWRITEBYTECODE=1 \
  TRAYWRIGHT_DATABASE=sqlite:////data/traywright.db

# Nothing but /data and /tmp (where large bodies wait to be read) is written to.
USER 10001
WORKDIR /data
VOLUME /data
EXPOSE 8080
STOPSIGNAL SIGTERM

HEALTHCHECK --interval=30s --timeout=3s --start-period=20s \
  CMD ["python", "-c", "import os, urllib.request as u; u.urlopen(f'http://127.0.0.1:{os.environ.get(\"TRAYWRIGHT_PORT\") or 8080}/healthz', timeout=2)"]

ENTRYPOINT ["python", "-m", "service"]
CMD ["serve"]
