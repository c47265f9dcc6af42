"""How a dimension's picture is drawn into its block."""

from __future__ import annotations

from collections.abc import Iterable

from ezdxf.entities.dimstyleoverride import DimStyleOverride
from ezdxf.math import UCS, Vec2
from ezdxf.render.dim_base import BaseDimensionRenderer
from ezdxf.render.dimension import DimensionRenderer


class WithoutPoints(DimensionRenderer):
    """Leaves out the points that ezdxf sets at the measured places.

    They are never plotted, and a third of what a dimension holds; where it measures, the DIMENSION
    itself says, and whoever edits it in a CAD program has its picture drawn anew.
    """

    def dispatch(self, override: DimStyleOverride, ucs: UCS | None = None) -> BaseDimensionRenderer:
        """What draws one dimension."""
        renderer = super().dispatch(override, ucs)
        renderer.geometry.add_defpoints = _none
        return renderer


def _none(points: Iterable[Vec2]) -> None:
    """Draws nothing."""
