"""Jobs with a turn between two posts, as texts for the tests to change."""

from __future__ import annotations

# Two guards that meet at a turn on posts of their own: P1 and P2, 2 in square, faces parallel.
TURN = """
[job]
name = "A turn"
place = "an invented deck"
date = 2026-11-24
measured_by = "lead hand"
units = "UNITS"
kit = "dunlin"
code = "irc-2024"

[building]
dwelling = true
outdoors = true

[[post]]
mark = "W1"
kind = "wall plate"
at = ["0", "0"]

[[post]]
mark = "P2"
at = ["P2X", "1600 mm"]

[[post]]
mark = "W2"
kind = "wall plate"

[[level]]
mark = "A"
side = "left"
rail_height = "36 in"
from = "W1"
to = "P1"
bearing = 90
L = "1600 mm"
F = "60 in"
I = "7/8 in"
K = "1 1/4 in"
[level.site]
edge = "open"
D = "60 in"

[[level]]
mark = "B"
side = "left"
rail_height = "36 in"
from = "P2"
to = "W2"
bearing = 0
L = "1600 mm"
F = "60 in"
I = "7/8 in"
K = "1 1/4 in"
[level.site]
edge = "open"
D = "60 in"
"""
