"""Compiled forms of all kernels, made once and kept in a folder named by the hash of their sources.

Question answered   Which function answers this call fastest at this moment, and how does it become faster?
Method              Every plain function of every kernel module is copied with its callees rebound to compiled ones and
                    handed to numba: nopython, without the interpreter lock, strict floating point. Only the functions
                    in a module's ``SIGNATURES`` are compiled on their own and kept on disk. The folder is named by the
                    hash of all kernel sources, since a cache that watches one file at a time would return old numbers
                    after an edit to a callee in another. One process at a time compiles into it; those that waited
                    load what it left. A compiler started by `warm` ends when the process that started it has ended.
Left out            Removal of old folders; compiling in a one-shot command, which answers uncompiled.
Theory              docs/theory/kernels.md
"""

import gc
import hashlib
import importlib
import os
import pickle
import pkgutil
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import IO, Any

from bikewright.errors import EnvironmentFault
from bikewright.physics import kernels

Kernel = Callable[..., Any]

_loaded: dict[str, Kernel] = {}
_lock = threading.Lock()
_failure: str = ""


@cache
def kernel_modules() -> tuple[ModuleType, ...]:
    """All kernel modules, by name."""
    names = sorted(info.name for info in pkgutil.iter_modules(kernels.__path__) if info.name != "compile")
    return tuple(importlib.import_module(f"{kernels.__name__}.{name}") for name in names)


@cache
def plain_kernels() -> dict[str, Kernel]:
    """Uncompiled functions that may be called from outside, as ``module.function``."""
    return {
        f"{module.__name__.rpartition('.')[2]}.{name}": getattr(module, name)
        for module in kernel_modules()
        for name in getattr(module, "SIGNATURES", {})
    }


def cache_folder() -> Path:
    """Where compiled kernels are kept: under ``BIKEWRIGHT_CACHE`` or the user's cache folder."""
    given = os.environ.get("BIKEWRIGHT_CACHE")
    if given:
        base = Path(given)
    elif sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "bikewright"
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Caches" / "bikewright"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "bikewright"
    digest = hashlib.sha256()
    for module in (*kernel_modules(), sys.modules[__name__]):
        digest.update(Path(str(module.__file__)).read_bytes() if module.__file__ else b"")
    return base / "kernels" / digest.hexdigest()[:20]


def compiled(name: str) -> Kernel | None:
    """The compiled kernel, or None while it is not loaded. Never compiles and never imports numba."""
    return _loaded.get(name)


def fastest(name: str) -> Kernel:
    """The compiled kernel once it is loaded, the same function uncompiled until then."""
    return _loaded.get(name) or plain_kernels()[name]


def failure() -> str:
    """Why a load in the background ended without compiled kernels; empty while there is nothing to tell."""
    return _failure


def load() -> None:
    """Load every compiled kernel into this process, compiling what the cache folder does not hold.

    Raises
    ------
    EnvironmentFault
        If the cache folder cannot be written.
    """
    with _lock:
        if _loaded:
            return
        import numba  # not at module level: a one-shot command must not pay for it

        folder = cache_folder()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            turn = (folder / "lock").open("ab")
        except OSError as reason:
            raise EnvironmentFault(
                f"compiled kernels cannot be kept in {folder} ({reason}); set BIKEWRIGHT_CACHE to a folder that can "
                f"be written."
            ) from reason
        with turn:
            _wait_for(turn)
            settings: Any = numba.config
            before = settings.CACHE_DIR
            settings.CACHE_DIR = str(folder)
            try:
                with _without_library(), _with_kept_runtime(numba, folder / "runtime"):
                    _loaded.update(_compile_all(numba))
            finally:
                settings.CACHE_DIR = before


@contextmanager
def _without_library() -> Iterator[None]:
    """Let the compiler look for no linear-algebra library: kernels call none, and loading it takes tens of megabytes.

    The compiler looks for one when it is first used and goes on where there is none. Whoever else wants that library
    finds it as before.
    """
    from numba.np import linalg

    look = getattr(linalg, "ensure_blas", None)

    def found_none() -> None:
        raise ImportError("kernels call no linear-algebra library")

    linalg.ensure_blas = found_none
    try:
        yield
    finally:
        if look is not None:
            linalg.ensure_blas = look


@contextmanager
def _with_kept_runtime(numba: Any, file: Path) -> Iterator[None]:
    """Let the compiler keep the few functions of its own runtime beside the kernels.

    It would make them anew in every process, the only code that is made where all kernels come from the cache: that
    takes 27 MB of the code generator into memory. What another version of the compiler or another processor left in the
    file is not taken, and a compiler that is built otherwise goes its own way.
    """
    from numba.core.runtime import nrtdynmod

    make: Callable[[Any], Any] | None = getattr(nrtdynmod, "compile_nrt_functions", None)
    if make is None:
        yield
        return

    def kept(context: Any) -> Any:
        codegen = context.codegen()
        mark = (numba.__version__, sys.version, codegen.magic_tuple())
        with suppress(OSError, EOFError, ValueError, pickle.UnpicklingError):
            found, library = pickle.loads(file.read_bytes())
            if found == mark:
                return codegen.unserialize_library(library)
        module, library = nrtdynmod.create_nrt_module(context)
        library.enable_object_caching()
        library.add_ir_module(module)
        library.finalize()
        with suppress(OSError):
            made = file.with_suffix(f".{os.getpid()}")
            made.write_bytes(pickle.dumps((mark, library.serialize_using_object_code())))
            made.replace(file)
        return library

    nrtdynmod.compile_nrt_functions = kept
    try:
        yield
    finally:
        nrtdynmod.compile_nrt_functions = make


def _wait_for(turn: IO[bytes]) -> None:
    """Wait until no other process holds this file; it is held until it is closed, however this process ends.

    Where the system or the disk has no such lock, two processes may compile the same at once, which costs time only.
    """
    if sys.platform != "win32":
        import fcntl

        with suppress(OSError):
            fcntl.flock(turn, fcntl.LOCK_EX)


def _compile_all(numba: Any) -> dict[str, Kernel]:
    """Every kernel with its callees rebound."""
    plain: dict[FunctionType, Kernel] = {}
    scopes: list[tuple[ModuleType, dict[str, Any]]] = [(module, dict(vars(module))) for module in kernel_modules()]
    scope_of = {module.__name__: scope for module, scope in scopes}
    for module, scope in scopes:
        for value in vars(module).values():
            if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                copy = FunctionType(value.__code__, scope, value.__name__, value.__defaults__)
                copy.__module__ = value.__module__
                copy.__qualname__ = value.__qualname__
                plain[value] = copy
    helpers = {
        value: numba.njit(nogil=True, error_model="numpy", fastmath=False)(copy) for value, copy in plain.items()
    }
    for scope in scope_of.values():
        for key, value in scope.items():
            if isinstance(value, FunctionType) and value in helpers:
                scope[key] = helpers[value]
    return {
        name: numba.njit(_signature(name), nogil=True, error_model="numpy", fastmath=False, cache=True)(
            plain[kernel]  # type: ignore[index]
        )
        for name, kernel in plain_kernels().items()
    }


def _signature(name: str) -> Any:
    module, _, function = name.partition(".")
    return importlib.import_module(f"{kernels.__name__}.{module}").SIGNATURES[function]


def unload() -> None:
    """Forget the compiled kernels: calls are answered uncompiled again, to measure and to test both forms."""
    with _lock:
        _loaded.clear()


def warm() -> None:
    """Compile in another process, so that this one stays free to answer, then load here from the cache folder.

    Raises
    ------
    EnvironmentFault
        If the other process fails; its last words are in the message.
    """
    if _loaded:
        return
    command = [sys.executable, "-c", f"from {__name__} import load_for_parent; load_for_parent()"]
    kept, given = os.pipe()  # nothing is written: its end tells the other process that this one has ended
    try:
        done = subprocess.run(command, stdin=kept, capture_output=True, text=True, check=False)
    finally:
        os.close(given)
        os.close(kept)
    if done.returncode != 0:
        raise EnvironmentFault(f"compiling the kernels failed: {done.stderr.strip()[-500:] or 'no message'}")
    load()


def load_for_parent() -> None:
    """Load, as the process that `warm` starts: give up as soon as the pipe to the parent closes."""

    def watch() -> None:
        # Not through sys.stdin, whose lock this thread would still hold when the process ends by itself.
        os.read(0, 1)
        os._exit(1)

    threading.Thread(target=watch, name="parent-watch", daemon=True).start()
    load()


def load_in_background() -> threading.Thread:
    """Start `warm` on a thread. Calls are answered uncompiled until it is done; `failure` tells if it never will."""

    def run() -> None:
        global _failure
        try:
            warm()
            # The compiler leaves some hundred thousand things that stay: without this each full search for things that
            # nobody holds would look at all of them, which stops every answer for some 70 ms.
            gc.collect()
            gc.freeze()
        except EnvironmentFault as reason:
            _failure = str(reason)

    thread = threading.Thread(target=run, name="kernel-loader", daemon=True)
    thread.start()
    return thread


if __name__ == "__main__":
    # Run as a module, this file is a second copy under the name __main__; the hash needs the imported one.
    importlib.import_module("bikewright.physics.kernels.compile").load()
