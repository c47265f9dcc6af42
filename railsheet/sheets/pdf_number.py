"""Numbers as a PDF holds them."""

from __future__ import annotations


def pdf_number(value: float) -> str:
    """A figure to seven digits, six of them at most behind the point: reportlab's own, sooner.

    A PDF knows no powers of ten, which a short form of a small figure would be written with.
    """
    return f"{value:.7g}" if abs(value) >= 1.0 else f"{value:.6f}"
