"""What an independent reader finds in a PDF."""

from __future__ import annotations

import io
import re

from pypdf import PdfReader


def pdf_reader(data: bytes) -> PdfReader:
    """The PDF as pypdf reads it."""
    return PdfReader(io.BytesIO(data), strict=True)


def pdf_text(data: bytes) -> str:
    """All text of a PDF with single spaces, so that wrapped sentences can be found."""
    pages = [page.extract_text() for page in pdf_reader(data).pages]
    return re.sub(r"\s+", " ", " ".join(pages))
