"""Saving a file whole or not at all.

The new content is written beside its place, flushed to the disk and renamed over the old file, so that
somebody who pulls the plug finds either the old file or the new one.
"""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def save_whole(path: Path, content: bytes) -> None:
    """Write a file atomically; an existing file keeps its mode.

    Parameters
    ----------
    path : Path
        File to write; a link is followed, so that the file behind it is replaced and the link stays.
    content : bytes
        All of it.
    """
    target = path.resolve()
    mode = target.stat().st_mode & 0o7777 if target.exists() else 0o666 & ~_umask()
    with _beside(target, content, mode) as beside:
        beside.replace(target)


def save_once(path: Path, content: bytes) -> None:
    """Write a file that does not stand yet, to be read only: whole or not at all, and never over another.

    Raises
    ------
    FileExistsError
        If the name is taken.
    """
    with _beside(path, content, 0o444) as beside:
        os.link(beside, path)  # unlike a rename, this refuses a name that is taken


def save_new(path: Path, content: bytes) -> None:
    """Write a file that does not stand yet, which may be changed later: whole or not at all, and never over another.

    Raises
    ------
    FileExistsError
        If the name is taken.
    """
    with _beside(path, content, 0o666 & ~_umask()) as beside:
        os.link(beside, path)


def sync_folder(folder: Path) -> None:
    """The rename itself must reach the disk, or a power cut could undo it."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _beside(target: Path, content: bytes, mode: int) -> Iterator[Path]:
    """All of a file, flushed to the disk, beside its place; the block gives it its name."""
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(mode)
        yield beside
    finally:
        beside.unlink(missing_ok=True)
    sync_folder(target.parent)


def _umask() -> int:
    now = os.umask(0)
    os.umask(now)
    return now
