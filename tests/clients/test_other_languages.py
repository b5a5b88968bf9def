"""The generators of other languages go through the description, on request.

``TRAYWRIGHT_GENERATOR`` names the jar of an OpenAPI Generator; without it, or without Java, these are skipped.
"""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from service.api.spec import load_spec
from tests.clients.conftest import SPEC, tool

LANGUAGES = ("go", "java", "csharp", "rust")


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_client_is_generated_with_every_operation(language: str, tmp_path: Path) -> None:
    """The generator, which validates the description first, ends without an error and leaves no operation out."""
    jar = os.environ.get("TRAYWRIGHT_GENERATOR")
    if not jar:
        pytest.skip("TRAYWRIGHT_GENERATOR does not say where a generator lies")
    command = [tool("java"), "-Xmx800m", "-jar", jar, "generate", "-g", language, "-i", str(SPEC), "-o", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
    said = done.stdout + done.stderr
    assert done.returncode == 0 and " ERROR " not in said and "Exception" not in said.split("writing file")[0], said
    files = [path for path in tmp_path.rglob("*api*") if path.is_file()]
    sources = "".join(path.read_text("utf-8").lower().replace("_", "") for path in files)
    assert [each.id for each in load_spec().operations.values() if each.id.lower() not in sources] == []
