"""Two top rails that an easing carries over the post they share: whether one can, and how it lies.

An easing turns in one plumb plane, so the two runs must go on in line in plan. It must turn by the
angle between their rakes, and lie over the whole of the post, which is cut under it. Nothing that
stands in a rail, and no nose whose height is read to the rail's line, may come under it. Where any
of that fails the rails are cut against each other as without it, and the sheet says why.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from railsheet.job.kit import Kit
from railsheet.job.kit_bracket import EndCut
from railsheet.job.kit_easing import Bend, EasingKit, easing_for
from railsheet.job.kit_ends import OverKit
from railsheet.job.model import PostKind
from railsheet.layout.bay import mouth_covers_mm
from railsheet.layout.easing import Easing
from railsheet.layout.ends.door import end_parts
from railsheet.layout.ends.kind import EndPlace, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.joined_rail import (
    axis_over_foot_mm,
    cut_again,
    end_post,
    partner_of,
    with_end,
    with_top_rail,
)
from railsheet.layout.notice import Notice, Weight
from railsheet.layout.post import PostFace
from railsheet.layout.rail_ends import End, RailEnd, along
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import EasingChoice, Meeting, Partner
from railsheet.tolerance import SAME_MM, SAME_RAD


def place_easing(railing: Railing, end: End, partner: Partner, kit: EasingKit) -> Easing:
    """An easing over one of a run's end posts, in the run's frame: where the two axes meet.

    Raises:
        ZeroDivisionError: the two rails do not change rake there.
    """
    post, rake = end_post(railing, end), railing.line.rake_rad
    middle = post.centre_s_mm
    # How much faster this rail rises uphill than the other's line does.
    steeper = math.tan(rake) + end.inward * math.tan(partner.climb_rad)
    off = (partner.axis_mm - axis_over_foot_mm(railing, post, middle)) / steeper
    s = middle + off
    return Easing(
        kit=kit,
        depth_mm=railing.kit.top_rail.depth_mm,
        width_mm=railing.kit.top_rail.width_mm,
        meet=(s, axis_over_foot_mm(railing, post, s) + post.surface_z_mm),
        inward=end.inward,
        own_climb_rad=end.inward * rake,
        other_climb_rad=partner.climb_rad,
        other_run=partner.run,
    )


def choose_easing(railings: Mapping[str, Railing], meetings: tuple[Meeting, ...]) -> EasingChoice:
    """Which of the kit's easings carries the top rail over a post, or why none does."""
    if len(meetings) != 2:
        return EasingChoice()
    one, other = meetings
    kit = railings[one.run].kit
    partner = partner_of(other, railings[other.run])
    own_climb = one.face.end.inward * railings[one.run].line.rake_rad
    change = own_climb + partner.climb_rad
    specs = one.post.spec, other.post.spec
    stands = {spec.kind for spec in specs} <= {PostKind.POST, PostKind.EXISTING}
    if not kit.easings or not stands or abs(change) < SAME_RAD:
        return EasingChoice()
    for refused in _askew(one, other):
        return EasingChoice(refused=refused)
    bend = Bend.UP if change > 0 else Bend.OVER
    chosen = easing_for(kit.easings, abs(change), bend)
    if chosen is None:
        return EasingChoice(refused=_no_such_turn(kit, one, other, abs(change), bend))
    placed = [
        (railings[own.run], own, place_easing(railings[own.run], own.face.end, mate, chosen))
        for own, mate in (
            (one, partner),
            (other, partner_of(one, railings[one.run])),
        )
    ]
    for refused in (*_off_post(one, other, placed[0]), *_under(placed)):
        return EasingChoice(refused=refused)
    return EasingChoice(chosen)


_Placed = tuple[Railing, Meeting, Easing]

_STEAD = "Their rails are drawn cut against each other instead"


def _names(one: Meeting, other: Meeting) -> str:
    return f"runs {one.run} and {other.run} change rake over post {one.post.spec.mark}"


def _askew(one: Meeting, other: Meeting) -> Iterator[Notice]:
    turn = abs(math.remainder(other.way_rad - one.way_rad - math.pi, math.tau))
    if turn > SAME_RAD:
        words = (
            f"{_names(one, other)} and turn {{turn}} in plan: an easing turns in one plumb plane "
            f"and goes round no corner. {_STEAD}"
        )
        yield Notice(Weight.STOP, "easing", words, (), (("turn", turn),))


def _no_such_turn(kit: Kit, one: Meeting, other: Meeting, turn_rad: float, bend: Bend) -> Notice:
    ways = [each for each in kit.easings if each.bends in (None, bend)]
    if not ways:
        words = f"{_names(one, other)}: the kit has no easing that bends {bend.value}. {_STEAD}"
        return Notice(Weight.STOP, "easing", words)
    least = min(each.turns_rad[0] for each in ways)
    most = max(each.turns_rad[1] for each in ways)
    words = (
        f"{_names(one, other)} by {{turn}}, and the kit's easings that bend {bend.value} turn by "
        f"{{least}} to {{most}}. {_STEAD}"
    )
    angles = (("turn", turn_rad), ("least", least), ("most", most))
    return Notice(Weight.STOP, "easing", words, (), angles)


def _off_post(one: Meeting, other: Meeting, placed: _Placed) -> Iterator[Notice]:
    """An easing that does not lie over the whole of its post."""
    railing, meeting, easing = placed
    half = railing.kit.post.width_mm / 2
    middle = meeting.post.centre_s_mm
    low, high = easing.under_s_mm(-easing.half_mm)
    short = max(low - (middle - half), middle + half - high)
    if short > SAME_MM:
        words = (
            f"{_names(one, other)}, but their axes meet {{off}} from its middle: the easing would "
            f"leave {{short}} of the post's top bare, and its joint would lie there. Change run "
            f"{other.run}'s rail height, or move the post. {_STEAD}"
        )
        lengths = (("off", abs(easing.meet[0] - middle)), ("short", short))
        yield Notice(Weight.STOP, "easing", words, lengths)


def _under(placed: list[_Placed]) -> Iterator[Notice]:
    """What stands under an easing and needs the straight rail: a baluster, a nose."""
    for railing, meeting, easing in placed:
        end, name = meeting.face.end, f"the easing over post {meeting.post.spec.mark}"
        bay = railing.bays[0 if end is End.DOWNHILL else -1]
        rail = with_end(bay.top_rail, _eased_end(easing, end, meeting.face))
        covers = mouth_covers_mm(rail, end) if rail.takes_balusters else 0.0
        if covers:
            words = (
                f"{name} would reach {{covers}} over the end {bay.infill.noun}'s hole in run "
                f"{meeting.run}'s top rail: move the post, or have a shorter easing. {_STEAD}"
            )
            yield Notice(Weight.STOP, "easing", words, (("covers", covers),))
        low, high = easing.arc_s_mm(easing.half_mm)
        for number, nose in enumerate(railing.stair.noses, start=1):
            if low < nose.s_mm < high:
                words = (
                    f"{name} would bend over nose {number} of run {meeting.run}, whose height to "
                    f"the rail is read to its straight line: move the post. {_STEAD}"
                )
                yield Notice(Weight.STOP, "easing", words)


def _eased_end(easing: Easing, end: End, face: PostFace) -> RailEnd:
    """Cut square, let into the easing's end."""
    rake = easing.inward * easing.own_climb_rad
    meet = along(easing.meet[0], 0.0, rake)
    return RailEnd(
        end=end,
        cut=EndCut.SQUARE,
        face_s_mm=face.s_mm,
        u_axis_mm=meet + end.inward * easing.set_back_mm,
        mouth_axis_mm=meet + end.inward * easing.reach_mm,
        insertion_mm=easing.kit.insertion_mm,
        held_by="easing",
        lean=0.0,
        stays_out=False,
    )


def with_easing(railing: Railing, end: End, easing: Easing) -> Railing:
    """A run whose top rail ends in an easing over one of its end posts."""
    first = end is End.DOWNHILL
    bay = railing.bays[0 if first else -1]
    post = end_post(railing, end)
    face = post.face(end)
    top = easing.top_z(face.s_mm)
    cut = cut_again(railing.kit, bay.top_rail, _eased_end(easing, end, face))
    eased = with_top_rail(railing, end, cut, top - bay.line.z_at(face.s_mm))
    at = EndPlace(
        kit=railing.kit,
        place=cut.place,
        end=end,
        line=railing.line,
        section=railing.section,
        face_s_mm=face.s_mm,
        post=post.spec.kind,
        skew=post.spec.skew,
    )
    # The top rail's own parts come first on a face; it lies on no post now.
    parts = (*_parts(railing.kit, easing.kit, owned=post.owned), *face.parts[len(end_parts(at)) :])
    post = replace(post, faces=(replace(face, rail_top_z_mm=top, parts=parts),), easing=easing)
    posts = (post, *railing.posts[1:]) if first else (*railing.posts[:-1], post)
    return replace(eased, posts=posts)


def _parts(kit: Kit, easing: EasingKit, *, owned: bool) -> tuple[Part, ...]:
    """One joint to an end; what lies on the post once, by the run that lists the post."""
    joint = Part("easing", easing.joint, 1)
    if not owned:
        return (joint,)
    fixing = Part("fixing", _over(kit).fixing, 1)
    return Part("easing", easing.name, 1), joint, fixing, *screw_parts(easing.screws)


def _over(kit: Kit) -> OverKit:
    assert isinstance(kit.top_end, OverKit), "only a kit whose top rail runs over has easings"
    return kit.top_end


def bearing_mm(
    railings: Mapping[str, Railing], meetings: tuple[Meeting, ...], kit: EasingKit
) -> tuple[float, float]:
    """Over the post's foot: the lowest and highest of an easing's bearing, a saddle under it."""
    own, other = meetings
    railing = railings[own.run]
    easing = place_easing(railing, own.face.end, partner_of(other, railings[other.run]), kit)
    half, saddle = railing.kit.post.width_mm / 2, _over(railing.kit).saddle_mm
    middle = own.post.centre_s_mm
    low, high = easing.heights_mm(middle - half, middle + half, -easing.half_mm - saddle)
    return low - own.post.surface_z_mm, high - own.post.surface_z_mm
