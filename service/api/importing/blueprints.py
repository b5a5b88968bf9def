"""The routes of files, put together."""

from __future__ import annotations

from service.api.importing import catalogue_files, point_files, templates

IMPORTING = (templates, catalogue_files, point_files)
"""The modules that have ``routes``."""
