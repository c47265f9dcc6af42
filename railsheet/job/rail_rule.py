"""What makes one straight rail over a flight better than another."""

from __future__ import annotations

from enum import Enum


class Rule(Enum):
    """What makes one straight rail better than another; h_i is its height over nose i."""

    LEAST_SQUARES = "least squares"
    """Least sum of (h_i − wanted)²."""
    LEAST_GREATEST_DEVIATION = "least greatest deviation"
    """Least max |h_i − wanted|."""
    NEVER_BELOW = "never below"
    """h_i ≥ wanted at every nose, and the greatest h_i as little above it as can be. The line that
    does this is the only one, and touches ``wanted``: the noses' least width has one slope."""
