"""Railsheet: tape measurements of a stair in, shop sheets for its guard rail out."""

__version__ = "0.1.0"
