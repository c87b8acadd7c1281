"""Pictures: drawing functions take axes and plain results, compute no geometry of their own, and write nothing.

For Python: `plan_picture`, `maps_picture` and `compare_picture` lay a picture out; `svg_document`, `png_bytes` and
`pdf_bytes` turn pictures into bytes. A name is imported when it is first asked for.
"""

from typing import TYPE_CHECKING

from standmark.geometry.lazy_names import lazy_names

if TYPE_CHECKING:
    from standmark.cli.drawing.compare import compare_picture
    from standmark.cli.drawing.map_page import maps_picture
    from standmark.cli.drawing.paint import png_bytes
    from standmark.cli.drawing.pdf import pdf_bytes
    from standmark.cli.drawing.plan import plan_picture
    from standmark.cli.drawing.svg import svg_document

__all__ = ["compare_picture", "maps_picture", "pdf_bytes", "plan_picture", "png_bytes", "svg_document"]

HOMES = {
    "compare_picture": "compare",
    "maps_picture": "map_page",
    "pdf_bytes": "pdf",
    "plan_picture": "plan",
    "png_bytes": "paint",
    "svg_document": "svg",
}

__getattr__, __dir__ = lazy_names(__name__, HOMES)
