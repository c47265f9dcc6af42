"""What the meeting of runs at posts calls attention to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import PostKind
from railsheet.layout.bores_meet import bores_meet
from railsheet.layout.ends.door import turns
from railsheet.layout.joints import Joined, packing_mm
from railsheet.layout.mouths_covered import mouths_covered
from railsheet.layout.notice import Notice, Weight, look, stop
from railsheet.layout.plan import Misclosure
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import SitePost
from railsheet.layout.turn import Turn, TurnKind
from railsheet.layout.turn_gaps import rail_ends
from railsheet.layout.turned_post import nearest_skew, skew_pair
from railsheet.tolerance import SAME_MM


def site_notices(
    kit: Kit,
    railings: Mapping[str, Railing],
    posts: Mapping[str, SitePost],
    misclosures: Sequence[Misclosure],
    joints: Mapping[tuple[str, str], Joined],
    turns: Sequence[Turn] = (),
) -> dict[str, tuple[Notice, ...]]:
    """Notices by the run that prints them: a post's go to the run that lists it.

    Args:
        joints: what each rail that joins another over its post came to, by post and run.
    """
    found: dict[str, list[Notice]] = {run: [] for run in railings}
    over = kit.top_end.runs_over
    for post in posts.values():
        found[post.owner] += [
            *(_over(kit, railings, post, joints) if over else _steps(railings, post)),
            *_skews(kit, post),
            *_turned(kit, post),
            *_height(kit, post),
            *bores_meet(railings, post),
            *mouths_covered(railings, post),
        ]
    for turn in turns:
        found[turn.owner].append(_turn(turn))
    told = {mark for turn in turns for mark in (turn.post, turn.beside_post)}
    alone = [
        post
        for post in rail_ends(posts)
        if post.mark not in told and post.meetings[0].post.spec.wall is None
    ]
    if alone:
        marks = ", ".join(post.mark for post in alone)
        found[alone[0].owner].append(
            look(
                "rail ends",
                f"the rail ends at {marks}, and nothing that the job names stands beside it: what "
                "closes the way past is not measured here. Look at it on site",
            )
        )
    for off in misclosures:
        if off.by_mm > SAME_MM:
            found[off.run].append(
                look(
                    "closure",
                    f"runs {', '.join(off.runs)} miss closing at post {off.post} by {{by}}: within "
                    "what is allowed; every run is cut for its length as all the readings have it",
                    by=off.by_mm,
                )
            )
    return {run: tuple(notices) for run, notices in found.items()}


def _turn(turn: Turn) -> Notice:
    """What the gap at a rail's end is, and how wide."""
    match turn.kind:
        case TurnKind.WAY:
            words = (
                f"{turn.between}, {{clear}} clear: not an opening, the way onto flight "
                f"{turn.flight}"
            )
        case TurnKind.UNCLOSED:
            words = (
                f"the rail ends at {turn.post}, and the next thing, {turn.beside}, stands "
                "{clear} clear of it: the job does not say what closes the way between. Look at "
                "it on site"
            )
        case _:
            words = f"{turn.between} the greatest sphere that passes is {{clear}} across"
    if turn.parts_mm is None:
        return look("turn", words, clear=turn.clear_mm)
    words += "; rails or base plates come within {parts} of each other there"
    return look("turn", words, clear=turn.clear_mm, parts=turn.parts_mm)


def _steps(railings: Mapping[str, Railing], post: SitePost) -> Iterator[Notice]:
    """Where two rails meet a post at unlike heights: the step, and what would do away with it."""
    for one, other in combinations(post.meetings, 2):
        step = one.rail_top_mm - other.rail_top_mm
        if abs(step) <= SAME_MM:
            continue
        high, low = (one, other) if step > 0 else (other, one)
        yield look(
            "step",
            f"at post {post.mark} run {high.run}'s top rail stands {{high}} over the post's foot "
            f"and run {low.run}'s {{low}}: the rail steps by {{step}}, and no handrail along it is "
            f"continuous there. The post is cut for the higher. They would meet with run "
            f"{high.run}'s rail height at {{lower}}, or run {low.run}'s at {{raised}}",
            high=high.rail_top_mm,
            low=low.rail_top_mm,
            step=abs(step),
            lower=railings[high.run].spec.rail_height_mm - abs(step),
            raised=railings[low.run].spec.rail_height_mm + abs(step),
        )


def _over(
    kit: Kit,
    railings: Mapping[str, Railing],
    post: SitePost,
    joints: Mapping[tuple[str, str], Joined],
) -> Iterator[Notice]:
    """Top rails joined over a post: whether they meet there, flush, and the post under them."""
    if len(post.meetings) > 2:
        yield stop(
            "joint",
            f"{len(post.meetings)} top rails come over post {post.mark}: no joint of more than two "
            "is drawn; each is cut as a free end, and they would lie in one another. Give one of "
            "them a post of its own, with a level run between",
        )
    if len(post.meetings) != 2:
        return
    if post.easing.refused is not None:
        yield post.easing.refused
    if post.easing.kit is None:
        yield from _cut_together(kit, railings, post, joints[post.mark, post.owner])
    packing = packing_mm(railings, post)
    if packing:
        over = "rails" if post.easing.kit is None else "easing"
        yield look(
            "post top",
            f"post {post.mark} is cut level under the lowest of the {over} over it; the highest "
            "bears {packing} over the cut: scribe it or pack it there",
            packing=packing,
        )


def _cut_together(
    kit: Kit, railings: Mapping[str, Railing], post: SitePost, joined: Joined
) -> Iterator[Notice]:
    """Two top rails cut against each other over their post."""
    first, second = (meeting.run for meeting in post.meetings)
    if abs(joined.off_middle_mm) > kit.post.width_mm / 2 + SAME_MM:
        yield stop(
            "joint",
            f"the top rails of runs {first} and {second} cross {{off}} from the middle of post "
            f"{post.mark}, past its side: their joint would hang beside it. Change run {second}'s "
            "rail height, or move the post",
            off=abs(joined.off_middle_mm),
        )
    if abs(joined.step_mm) > SAME_MM:
        words = (
            f"over post {post.mark} run {first}'s top rail stands {{step}} "
            f"{'higher' if joined.step_mm > 0 else 'lower'} than run {second}'s where they are to "
            f"meet. They would meet with run {second}'s rail height at {{met}}"
        )
        lengths = {
            "step": abs(joined.step_mm),
            "met": railings[second].spec.rail_height_mm + joined.step_mm,
        }
        within = abs(joined.step_mm) <= kit.fit_tolerance_mm
        yield (look if within else stop)("joint", words, **lengths)
    if joined.lip_mm:
        yield stop(
            "joint",
            f"the top rails of runs {first} and {second} turn and change rake over post "
            f"{post.mark}: cut alike, their corners stand {{lip}} apart. Put an easing or a level "
            "piece between them",
            lip=joined.lip_mm,
        )


def _skews(kit: Kit, post: SitePost) -> Iterator[Notice]:
    """A rail that leaves its post askew with no bracket of the kit's for it."""
    for meeting in post.meetings:
        off = abs(meeting.skew.angle_rad)
        if meeting.skew.held or not off or all(turns(kit, place) for place in RailPlace):
            continue
        angles = [("off", off)]
        near = nearest_skew(kit, off)
        if near is None:
            why = "the kit names no bracket for that"
        elif skew_pair(kit, off) is None:
            why = "the kit's brackets reach {near} at the nearest"
            angles.append(("near", near))
        else:
            why = "with the kit's brackets the rails' lines do not all meet in one point there"
        yield Notice(
            Weight.STOP,
            "skew",
            f"run {meeting.run} leaves post {post.mark} {{off}} off square to its face; {why}. Its "
            "figures measure the bracket along the rail, from the post's middle: have the "
            "bracket's own dimensions before cutting",
            (),
            tuple(angles),
        )


def _turned(kit: Kit, post: SitePost) -> Iterator[Notice]:
    """A post that stands turned between its runs, their rails in the kit's brackets for that."""
    if not post.set_off:
        return
    ways = {m.run: abs(m.skew.angle_rad) for m in post.meetings if m.skew.held and m.skew.angle_rad}
    pair = skew_pair(kit, max(ways.values()))
    assert pair is not None, "its middle is set off because such brackets hold its rails"
    names = " and ".join(dict.fromkeys(bracket.name for bracket in pair))
    off = ", ".join(f"run {run} leaves {{{run}}} off square to its face" for run in ways)
    set_off = math.dist(post.at_mm, post.middle_mm)
    words = (
        f"post {post.mark} stands turned: {off}, in {names}; its middle lies {{set_off}} from "
        "where the rails' lines meet. The plan gives both places"
    )
    lengths = (("set_off", set_off),)
    yield Notice(Weight.LOOK, "turned post", words, lengths, tuple(ways.items()))


def _height(kit: Kit, post: SitePost) -> Iterator[Notice]:
    """A shared post that is too short once it is cut for its higher rail."""
    alone = max(meeting.own_height_mm for meeting in post.meetings[:1])
    if post.height_mm <= alone + SAME_MM:
        return
    stands = post.meetings[0].post.spec.height_mm
    have = stands if stands is not None else kit.post.stock_height_mm
    if post.kind is not PostKind.WALL and post.height_mm > have + SAME_MM:
        yield stop(
            "post stock",
            f"post {post.mark} must stand {{height}} for its higher rail; there is {{have}} of it",
            height=post.height_mm,
            have=have,
        )
