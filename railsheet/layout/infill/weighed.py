"""Balusters as they are weighed, for the kinds that have them."""

from __future__ import annotations

from railsheet.job.kit import Kit
from railsheet.job.kit_infill import BalusterKit
from railsheet.layout.infill.parts import Infill, Weighed, WeighedBars


def weighed_balusters(kit: Kit, infill: Infill) -> Weighed:
    """All alike, each as long as it stands along its middle."""
    assert kit.infill.baluster is not None, "a kind with balusters"
    baluster = kit.infill.baluster
    long = infill.members[0].area_mm2 / baluster.width_mm
    return (balusters_of(baluster, long, len(infill.members)),)


def balusters_of(baluster: BalusterKit, long_mm: float, count: int) -> WeighedBars:
    """So many of one length."""
    section = baluster.width_mm * baluster.width_mm
    return WeighedBars("baluster", "baluster", "B", baluster.name, section, long_mm, count)
