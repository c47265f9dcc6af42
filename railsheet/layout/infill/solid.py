"""One pane to a bay, glazed or solid: a parallelogram cut to a template, held in both rails."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit
from railsheet.job.kit_infill import SolidKit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind
from railsheet.layout.infill.parts import (
    Fact,
    FactUnit,
    Infill,
    Member,
    Part,
    Template,
    Weighed,
    WeighedSheet,
)
from railsheet.layout.infill.row_rule import WholeBay
from railsheet.layout.infill.seating import depths_mm
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.section import Section, section_from_over_all
from railsheet.tolerance import SAME_MM


def _kit(kit: Kit) -> SolidKit:
    assert isinstance(kit.infill, SolidKit)
    return kit.infill


def _section(kit: Kit, rake_rad: float) -> Section:
    return section_from_over_all(rake_rad, _kit(kit).over_all_mm, depths_mm(kit))


def _rule(kit: Kit, _: float) -> WholeBay:
    return WholeBay(kit.greatest_span_mm)


def _fill(frame: BayFrame, _: int) -> Filled:
    kit, infill = frame.kit, _kit(frame.kit)
    left = frame.faces_mm[0] + infill.side_clearance_mm
    right = frame.faces_mm[1] - infill.side_clearance_mm
    outline = frame.plumb_strip(left, right, infill.bite_bottom_mm, infill.bite_top_mm)
    template = Template(suffix="PN", name=infill.name, outline=outline)
    seen = frame.plumb_strip(left, right)
    clear_top = kit.top_rail.seat_mm - infill.bite_top_mm
    clear_bottom = kit.bottom_rail.seat_mm - infill.bite_bottom_mm
    return Filled(
        Infill(
            word=infill.word,
            noun="pane",
            count=1,
            members=(Member(1, seen, outline, infill.thickness_mm),),
            row=None,
            pieces=(),
            parts=(Part("pane", f"{infill.name}, to its template", 1),),
            facts=(
                *_template_facts(template),
                Fact("side_clearance", "Pane to a post's face:", infill.side_clearance_mm),
                Fact("bite_top", "Pane in the top rail's groove:", infill.bite_top_mm),
                Fact("bite_bottom", "Pane in the bottom rail's groove:", infill.bite_bottom_mm),
                Fact("clear_top", "clear over the pane in its groove", clear_top, shown=False),
                Fact("clear_bottom", "packing under the pane", clear_bottom, shown=False),
            ),
            templates=(template,),
        ),
        top=replace(frame.top, groove_mm=infill.thickness_mm),
        bottom=replace(frame.bottom, groove_mm=infill.thickness_mm),
    )


def _template_facts(template: Template) -> tuple[Fact, ...]:
    """The template's edges, diagonals and sharp corner, measured on its outline."""
    a, b, c, d = template.outline
    plumb, raked = math.dist(a, d), math.dist(a, b)
    rake = math.atan2(b[1] - a[1], b[0] - a[0])
    return (
        Fact("pane.plumb", "Pane, plumb edges:", plumb),
        Fact("pane.raked", "Pane, raked edges:", raked),
        Fact("pane.rising", "Pane, low downhill corner to high uphill one:", math.dist(a, c)),
        Fact("pane.falling", "Pane, high downhill corner to low uphill one:", math.dist(b, d)),
        Fact("pane.corner", "Pane, its sharp corners:", math.pi / 2 - rake, FactUnit.ANGLE),
    )


def _notices(kit: Kit, _: float, infill: Infill) -> list[Notice]:
    facts = {fact.name: fact.value for fact in infill.facts}
    longest = max(facts["pane.plumb"], facts["pane.raked"])
    found = [
        look(
            "pane",
            "a pane's kind, thickness and edge cover are for the pane's maker, the local code and "
            "an engineer: the template gives its outline alone. Measure the opening, both "
            "diagonals with it, once the posts are fast and before the pane is ordered",
        )
    ]
    if longest > _kit(kit).greatest_side_mm + SAME_MM:
        found.append(
            stop(
                "pane size",
                "a pane needs an edge of {needs}; the longest to be had is {longest}",
                needs=longest,
                longest=_kit(kit).greatest_side_mm,
            )
        )
    return found


def _weighed(kit: Kit, infill: Infill) -> Weighed:
    pane, area = _kit(kit), infill.members[0].area_mm2
    return (WeighedSheet("pane", "pane", "PN", pane.name, pane.thickness_mm, area),)


SOLID = Kind(_section, _rule, _fill, _notices, weighed=_weighed)
