"""Pictures in pixels: the page that `pdf.py` writes, painted by PDFium; the same bytes for the same picture."""

from __future__ import annotations

import io
from threading import Lock

from PIL.PngImagePlugin import PngInfo
from pypdfium2 import PdfDocument

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.pdf import POINTS_PER_MM, pdf_bytes

_ONE_AT_A_TIME = Lock()  # PDFium works for one thread at a time


def png_bytes(picture: Picture, *, dpi: int = 150) -> bytes:
    """Paint a picture in pixels."""
    page = pdf_bytes([picture], title=picture.title)
    width_px = round(picture.width_mm / 25.4 * dpi)
    with _ONE_AT_A_TIME:
        document = PdfDocument(page)
        # a hair under the whole number of pixels, which would else be rounded up
        image = document[0].render(scale=(width_px - 1e-3) / (picture.width_mm * POINTS_PER_MM)).to_pil()
        document.close()
    about = PngInfo()
    about.add_text("Title", picture.title)
    buffer = io.BytesIO()
    image.save(buffer, format="png", dpi=(dpi, dpi), pnginfo=about)
    return buffer.getvalue()
