"""One process at a time: a lock on a file, which the system lets go when the process ends, however it ends."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


def take(path: Path, *, wait: bool) -> int | None:
    """Lock a file, which is made where it is missing.

    Parameters
    ----------
    path : Path
        The file; its folder stands.
    wait : bool
        Whether to wait for another process; else None is returned while it holds the lock.

    Returns
    -------
    int or None
        An open handle that holds the lock until `release`, or None.
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        if wait:
            raise
        return None
    return handle


def release(handle: int) -> None:
    """Let a lock go."""
    os.close(handle)


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold a lock for the length of a block, after waiting for it."""
    handle = take(path, wait=True)
    try:
        yield
    finally:
        if handle is not None:
            release(handle)
