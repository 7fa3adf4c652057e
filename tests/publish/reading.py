"""Reading a PDF back with poppler (poppler.freedesktop.org), where it is installed."""

import re
import shutil
import subprocess

import pytest


def pages(data: bytes) -> int:
    """How many pages a PDF has: poppler's count, else the page objects in its bytes (ISO 32000-1, table 30)."""
    if shutil.which("pdfinfo") is None:
        return len(re.findall(rb"/Type\s*/Page\b", data))
    said = subprocess.run(["pdfinfo", "-"], input=data, capture_output=True, check=True).stdout.decode()
    return int(re.search(r"Pages:\s+(\d+)", said)[1])


def words(data: bytes) -> str:
    """The text of a PDF in one line, spaces made one."""
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler-utils isn't installed: apt-get install poppler-utils")
    said = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()
    return " ".join(said.split())
