"""The page's own files."""

from hashlib import sha256
from pathlib import Path

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

PAGE = Path(__file__).resolve().parent / "page"
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".woff2": "font/woff2",
    ".txt": "text/plain; charset=utf-8",
    ".json": "application/json",
}
"""Files of other kinds are not given out."""


async def index(request: Request) -> Response:
    """The page itself."""
    return _file(request, "index.html")


async def page_file(request: Request) -> Response:
    """One file of the page."""
    return _file(request, request.path_params["name"])


def _file(request: Request, name: str) -> Response:
    content = page_content(name)
    if content is None:
        return PlainTextResponse("There is no such file.\n", status_code=404)
    tag = f'"{sha256(content).hexdigest()[:20]}"'
    head = {"etag": tag, "cache-control": "no-cache"}
    if tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=head)
    return Response(content, media_type=KINDS[Path(name).suffix], headers=head)


def page_content(name: str) -> bytes | None:
    """A file of the page; None for what is none, or lies outside of it."""
    if "\0" in name or name != Path(name).as_posix() or Path(name).suffix not in KINDS:
        return None
    path = (PAGE / name).resolve()
    try:
        return path.read_bytes() if path.is_relative_to(PAGE) else None
    except OSError:  # there is none, it is a folder, or no file can have so long a name
        return None
