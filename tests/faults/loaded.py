"""What a server has loaded before it serves, for the process that servers of fault tests are forked from.

Modules, the description as it was read, and validators as they were compiled for an application that serves nobody: no
connection, thread or database. So a server begins in a fraction of the time, and a run meets more kills.
"""

from __future__ import annotations

import psycopg
import pysqlite3.dbapi2

from service.api import serving
from service.app import create_app
from service.settings import Settings
from tests.faults import killable_server

LOADED = (psycopg, pysqlite3.dbapi2, serving, killable_server, create_app(Settings()))
