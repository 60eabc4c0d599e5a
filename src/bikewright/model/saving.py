"""Saving a file whole or not at all.

The new content is written beside its place, flushed to the disk and renamed over the old file, so that
somebody who pulls the plug finds either the old file or the new one.
"""

import os
import tempfile
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
    handle, beside = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).chmod(mode)
        Path(beside).replace(target)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def _umask() -> int:
    now = os.umask(0)
    os.umask(now)
    return now


def sync_folder(folder: Path) -> None:
    """The rename itself must reach the disk, or a power cut could undo it."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
