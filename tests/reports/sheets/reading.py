"""Reading a PDF back with poppler, as anybody who gets it would."""

import subprocess
import unicodedata
from pathlib import Path


def words(pdf: bytes, *options: str) -> str:
    """Text of a PDF in reading order, white space folded and breaks of long words joined."""
    return unicodedata.normalize("NFC", " ".join(_text(pdf, *options).split()))


def lines(pdf: bytes) -> list[str]:
    """Text of a PDF line by line, white space folded."""
    return [" ".join(line.split()) for line in _text(pdf, "-layout").splitlines() if line.strip()]


def _text(pdf: bytes, *options: str) -> str:
    done = subprocess.run(["pdftotext", *options, "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode().replace("\u200b", "")


def facts(pdf: bytes) -> dict[str, str]:
    """What pdfinfo tells."""
    found = subprocess.run(["pdfinfo", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    return {name.strip(): value.strip() for name, _, value in (line.partition(":") for line in found.splitlines())}


def fonts(pdf: bytes, folder: Path) -> list[str]:
    """Names of the fonts inside."""
    file = folder / "fonts.pdf"
    file.write_bytes(pdf)
    found = subprocess.run(["pdffonts", str(file)], capture_output=True, check=True).stdout.decode()
    return [line.split()[0] for line in found.splitlines()[2:]]
