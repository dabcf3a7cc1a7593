"""The folder that keeps the database and the secret key of one installation."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from platformdirs import user_data_path

_KEY_FILE = "secret.key"


def path() -> Path:
    """Give the data folder: HANGAR_DATA_DIR, or the user's data folder. It may not exist yet."""
    chosen = os.environ.get("HANGAR_DATA_DIR")
    return Path(chosen).expanduser().absolute() if chosen else user_data_path("hangar")


def read_key(folder: Path) -> str | None:
    """Give the secret key kept in a folder, or None when there is none that can be read."""
    with suppress(OSError):
        return (folder / _KEY_FILE).read_text(encoding="ascii").strip() or None
    return None


def prepare() -> Path:
    """Make the data folder and its secret key where they are missing.

    Returns the folder. Raises OSError when it cannot be made or written.
    """
    folder = path()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not (folder / _KEY_FILE).exists():
        _make_key(folder)
    return folder


def _make_key(folder: Path) -> None:
    draft = folder / f"{_KEY_FILE}.{secrets.token_hex(4)}"
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(64))
    # A link never replaces: of two workers that start at once, both end with the same key.
    with suppress(FileExistsError):
        os.link(draft, folder / _KEY_FILE)
    draft.unlink()
