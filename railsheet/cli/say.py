"""A line for the terminal."""

from __future__ import annotations

import click

from railsheet.right_to_left import guarded


def say(text: str, *, err: bool = False) -> None:
    """Print a line; on a terminal that orders text by itself, no name turns a figure with it."""
    click.echo(guarded(text), err=err)
