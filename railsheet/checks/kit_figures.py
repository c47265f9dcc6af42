"""What the kit itself limits: span, rake, and how a post's plate lies on what it stands on."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from railsheet.checks.finding import Finding, findings_for, not_checked
from railsheet.checks.judge import Sense
from railsheet.checks.limit import Bound, Limit, Quantity
from railsheet.checks.measured import merged
from railsheet.job.kit import Kit
from railsheet.job.model import Ground
from railsheet.layout.footprint import footprint
from railsheet.layout.notices import ground_words
from railsheet.layout.post import Post
from railsheet.layout.railing import Railing
from railsheet.tolerance import SAME_MM
from railsheet.units.display import Tape, angle_text, decimal_text
from railsheet.units.length import Unit, parse_length


def kit_findings(railing: Railing) -> tuple[Finding, ...]:
    """Each figure against the kit's own limit; the clause is the key in the kit's file."""
    return merged(tuple(_findings(railing)))


def _findings(railing: Railing) -> Iterator[Finding]:
    kit, stair = railing.kit, railing.stair
    span = _limit(
        kit,
        Quantity.POST_SPAN,
        "clear distance between post faces, level",
        Sense.AT_MOST,
        kit.greatest_span_mm,
        "limits > greatest_span",
    )
    for bay in railing.bays:
        yield from findings_for(span, bay.clear_mm, f"bay {bay.number}")
    rake = _limit(
        kit,
        Quantity.RAIL_RAKE,
        "the rail's angle from horizontal",
        Sense.AT_MOST,
        kit.greatest_rake_rad,
        "limits > greatest_rake",
    )
    for bay in railing.bays:
        yield from findings_for(rake, bay.line.rake_rad, f"bay {bay.number}")
    over = _limit(
        kit,
        Quantity.RAIL_OVER_NOSE,
        "underside of the bottom rail over a nose, plumb",
        Sense.AT_LEAST,
        0.0,
        "the bottom rail clears the noses",
    )
    for bay in railing.bays:
        for number, nose in enumerate(stair.noses, start=1):
            if bay.downhill_face_mm < nose.s_mm < bay.uphill_face_mm:
                clear = bay.line.height_over(nose) - bay.section.height_plumb_mm
                yield from findings_for(over, clear, f"nose {number}")
    edge = _limit(
        kit,
        Quantity.PLATE_EDGE,
        "base plate to an edge of what it stands on",
        Sense.AT_LEAST,
        kit.plate.edge_distance_mm,
        "plate > edge_distance",
    )
    back = _limit(
        kit,
        Quantity.PLATE_BACK,
        "base plate to the riser face behind it",
        Sense.AT_LEAST,
        kit.plate.back_clearance_mm,
        "plate > back_clearance",
    )
    for post in railing.posts:
        # A wall plate stands on nothing.
        if post.made:
            yield from _plate(railing, post, edge, back)


def _plate(railing: Railing, post: Post, edge: Limit, back: Limit) -> Iterator[Finding]:
    plate = footprint(railing, post)
    who = f"{post.with_article} on {ground_words(post)}"
    surface = railing.stair.surface(post.spec.surface)
    if post.spec.in_from_side_mm is None:
        yield from not_checked(
            edge, f"{who}, side edge", ("I, the side edge to the plate: drawn, not read",)
        )
    else:
        yield from findings_for(edge, plate.from_side_mm, f"{who}, side edge")
    if surface.front_mm is not None:
        front = plate.low_s_mm - surface.front_mm
        yield from findings_for(edge, front, f"{who}, nose")
    if surface.back_mm is not None and post.spec.ground is not Ground.SLAB:
        behind = surface.back_mm - plate.high_s_mm
        open_back = railing.stair.open_risers and surface.number > 0
        where = f"{who}, {'back edge' if open_back else 'riser behind'}"
        yield from findings_for(edge if open_back else back, behind, where)


def _limit(
    kit: Kit, quantity: Quantity, measures: str, sense: Sense, value: float, clause: str
) -> Limit:
    angle = quantity is Quantity.RAIL_RAKE
    written = angle_text(value) if angle else _written(value, kit.unit)
    return Limit(
        key=f"kit_{quantity.value}",
        quantity=quantity,
        measures=measures,
        bounds=(Bound(sense, value, written),),
        clause=clause,
        edition="kit",
        source=kit.source,
        read=True,
        basis="",
        exceptions=(),
        applies=(),
        unless=(),
        over_mm2=None,
        amended=False,
    )


def _written(value_mm: float, unit: Unit) -> str:
    """A kit's length as its file would have it: ``7/8 in``, ``25 mm``."""
    if unit is Unit.MM:
        return f"{value_mm:g} mm"
    fraction = Tape(unit, Fraction(1, 64)).text(value_mm).replace('"', " in")
    exact = abs(parse_length(fraction, unit) - value_mm) < SAME_MM
    return fraction if exact else decimal_text(value_mm, unit)
