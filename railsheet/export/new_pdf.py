"""A PDF that is the same bytes for the same content."""

from __future__ import annotations

from pathlib import Path

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from railsheet.sheets.fonts import font_name, register


def new_pdf(path: Path, title: str) -> Canvas:
    """A canvas that writes a PDF of this program: no date and no random identifier."""
    register()
    # Streams as they are compressed: reportlab would spell them in letters, a quarter longer, for
    # the sake of mail programs of the nineties.
    rl_config.useA85 = 0
    canvas = Canvas(
        str(path),
        invariant=1,
        pageCompression=1,
        # Else reportlab lists Helvetica, unembedded, on every page. Its stub types this a number.
        initialFontName=font_name(),  # type: ignore[arg-type]
    )
    canvas.setTitle(title)
    canvas.setCreator("railsheet")
    return canvas
