"""An SQLite file with damage in it is recognised when the service begins, in words, and never served."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from service.store import AnyRevision, Damaged, StoreError, open_store
from tests.catalogue_documents import tray
from tests.cli.command_line import refusal, run

PAGE = 4096


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with some hundred pages of catalogue."""
    file = tmp_path_factory.mktemp("sound") / "build.db"
    store = open_store(f"sqlite:///{file}")
    store.upgrade()
    store.put_catalogue({"trays": [tray(f"t{n}") for n in range(500)]}, AnyRevision())
    store.insist_on_sound()
    store.insist_on_sound(whole=True)
    store.close()
    return file


def damaged(sound: Path, folder: Path, at: int, content: bytes) -> Path:
    """A copy of the file with other bytes at a place."""
    file = folder / "build.db"
    shutil.copy(sound, file)
    with file.open("r+b") as stream:
        stream.seek(at)
        stream.write(content)
    return file


def test_serving_a_damaged_file_is_refused_in_words(sound: Path, tmp_path: Path) -> None:
    """Neither a broken header nor a broken page gets as far as listening: one line, exit code 2, nothing changed."""
    for at, content in ((0, b"\xff" * 16), (20 * PAGE, b"\xa5" * PAGE)):
        file = damaged(sound, tmp_path, at, content)
        before = file.read_bytes()
        line = refusal(run(tmp_path, "serve", "--database", "build.db", "--port", "1"))
        assert "damaged" in line or "not a database" in line
        assert file.read_bytes() == before
        file.unlink()


def test_a_page_with_other_bytes_in_its_head_is_found(sound: Path, tmp_path: Path) -> None:
    """Of all pages in use, forty drawn by a seed and broken one at a time: each is found, before or by the check."""
    chance = random.Random(7)
    pages = sound.stat().st_size // PAGE
    assert pages > 60
    for page in chance.sample(range(1, pages), 40):
        file = damaged(sound, tmp_path, page * PAGE, bytes(chance.randrange(128, 256) for _ in range(64)))
        store = open_store(f"sqlite:///{file}")
        with pytest.raises(Damaged):
            store.insist_on_sound()
        store.close()


def test_flipped_bits_are_never_a_crash(sound: Path, tmp_path: Path) -> None:
    """Sixty single bits changed, mostly in texts and empty room: found, or the file opens; nothing else is raised."""
    chance = random.Random(8)
    found = 0
    for _ in range(60):
        at = chance.randrange(sound.stat().st_size)
        file = damaged(sound, tmp_path, at, bytes([sound.read_bytes()[at] ^ 1 << chance.randrange(8)]))
        store = open_store(f"sqlite:///{file}")
        try:
            store.insist_on_sound(whole=True)
            store.catalogue_revision()
        except StoreError:
            found += 1
        store.close()
    assert found > 1
