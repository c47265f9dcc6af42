"""A whole site: runs that share posts, each post with one place, one height and room for all."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import (
    FlightSpec,
    Job,
    LevelSpec,
    Place,
    PlanPost,
    PostKind,
    PostSpec,
    Skew,
)
from railsheet.layout.corner import Leaving, leave_post, room_short_mm
from railsheet.layout.eased_joint import choose_easing
from railsheet.layout.joints import Joined, meetings_of, top_under_rails_mm, with_meeting
from railsheet.layout.level import LevelEnds, solve_level
from railsheet.layout.plan import Leg, Point, Traverse, traverse
from railsheet.layout.plan_survey import as_adjusted, plan_notices, survey_plan
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing
from railsheet.layout.site_heights import foot_heights
from railsheet.layout.site_model import Meeting, Meets, Site, SitePost
from railsheet.layout.site_notices import site_notices
from railsheet.layout.turn_gaps import turns_of
from railsheet.tolerance import SAME_MM, SAME_RAD


def solve_site(job: Job, solve_flight: Callable[[FlightSpec], Railing]) -> Site:
    """Solve every run and join them at their posts.

    Args:
        job: a job that has a plan.
        solve_flight: solves one flight alone.

    Raises:
        BadInput: runs that do not meet, a loop that does not close, a corner without room, two
            heights for one post, or a run that cannot be laid out.
    """
    known = _plan_posts(job)
    ways = _ways(job, known)
    _returned_must_end(job, ways)
    corners = _corners(job, ways)
    railings: dict[str, Railing] = {}
    legs: dict[str, Leg] = {}
    for flight in sorted(job.flights, key=lambda f: f.mark):
        start, end = _flight_ends(flight)
        low, high = corners[flight.mark, start], corners[flight.mark, end]
        asked = replace(
            flight,
            bottom_post=_told(flight.bottom_post, known, low.skew),
            top_post=_told(flight.top_post, known, high.skew),
        )
        railing = solve_flight(asked)
        first, last = railing.downhill_post, railing.uphill_post
        starts = first.face_s_mm - low.face_mm(job.kit, first.spec.kind)
        length = last.face_s_mm + high.face_mm(job.kit, last.spec.kind) - starts
        railings[flight.mark] = railing
        bearing = _bearing(job, flight)
        legs[flight.mark] = Leg(flight.mark, start, end, length, bearing, starts)
    for level in job.levels:
        length, bearing = _level_length(job, level, known), _level_bearing(job, level, known)
        legs[level.mark] = Leg(level.mark, level.start, level.end, length, bearing)
    given = {mark: post.at_mm for mark, post in known.items() if post.at_mm is not None}
    laid = traverse(tuple(legs.values()), given)
    _must_meet(job, laid)
    _must_close(job, laid)
    points = {mark: one.point_mm for (_, mark), one in corners.items()}
    middles = {mark: (-x, -y) for mark, (x, y) in points.items()}
    survey = survey_plan(job, tuple(legs.values()), laid.places_mm, tuple(given), middles)
    if survey is not None and survey.redundancy:
        laid = replace(laid, places_mm=survey.places_mm)
        legs = {run: as_adjusted(leg, survey) for run, leg in legs.items()}
    level_ends = {}
    for level in job.levels:
        ends = _level_ends(job.kit, level, known, corners, legs[level.mark].length_mm)
        railings[level.mark] = solve_level(level, ends, job.kit, job.file)
        level_ends[level.mark] = ends
    feet = foot_heights(job, legs, railings)
    posts = _site_posts(known, corners, legs, railings, laid, feet)
    railings = {run: _one_height(railing, legs[run], posts) for run, railing in railings.items()}
    met = {mark: meetings_of(railings, post) for mark, post in posts.items()}
    run_ends: dict[str, tuple[tuple[End, Meets], ...]] = {}
    joints: dict[tuple[str, str], Joined] = {}
    for run, leg in legs.items():
        run_ends[run] = ((End.DOWNHILL, met[leg.start][run]), (End.UPHILL, met[leg.end][run]))
        for mark, (rail_end, meets) in zip((leg.start, leg.end), run_ends[run], strict=True):
            railings[run], joined = with_meeting(railings[run], rail_end, meets)
            if joined is not None:
                joints[mark, run] = joined
    turns = turns_of(railings, legs, posts)
    notices = site_notices(job.kit, railings, posts, laid.misclosures, joints, turns)
    if survey is not None:
        for run, more in plan_notices(survey, legs).items():
            notices[run] = (*more, *notices[run])
    return Site(
        railings,
        legs,
        posts,
        _diagonals(legs, posts),
        laid.misclosures,
        survey,
        level_ends,
        notices,
        turns,
        run_ends,
    )


def _level_ends(
    kit: Kit,
    level: LevelSpec,
    known: Mapping[str, PlanPost],
    corners: Mapping[tuple[str, str], Leaving],
    length_mm: float,
) -> LevelEnds:
    start, end = known[level.start], known[level.end]
    low, high = corners[level.mark, level.start], corners[level.mark, level.end]
    faces = low.face_mm(kit, start.kind), high.face_mm(kit, end.kind)
    return LevelEnds(start, end, *faces, length_mm, low.skew, high.skew)


def _plan_posts(job: Job) -> dict[str, PlanPost]:
    """Every post that a run names, those without a table of their own included."""
    named = {
        mark
        for ends in (
            *((f.bottom_post.mark, f.top_post.mark) for f in job.flights),
            *((level.start, level.end) for level in job.levels),
        )
        for mark in ends
        if mark
    }
    known = {mark: PlanPost(mark, PostKind.POST, None, None) for mark in sorted(named)}
    for post in job.posts:
        if post.mark not in named:
            raise BadInput(job.file, "post > mark", post.mark, "no run comes to this post")
        known[post.mark] = post
    return known


def _told(spec: PostSpec, known: Mapping[str, PlanPost], skew: Skew) -> PostSpec:
    """A flight's post with what the site says of it."""
    if not spec.mark:
        return spec
    post = known[spec.mark]
    height = post.height_mm if spec.height_mm is None else spec.height_mm
    stands = post.kind is PostKind.EXISTING
    return replace(
        spec,
        kind=post.kind,
        height_mm=height,
        place=Place.STANDING if stands and spec.place is not Place.FREE else spec.place,
        skew=skew,
        wall=spec.wall or post.wall,
    )


def _flight_ends(flight: FlightSpec) -> tuple[str, str]:
    """The marks of a flight's end posts; an unshared one is named after its flight."""
    return (
        flight.bottom_post.mark or f"{flight.mark}-bottom",
        flight.top_post.mark or f"{flight.mark}-top",
    )


def _bearing(job: Job, flight: FlightSpec) -> float:
    if not (flight.bottom_post.mark or flight.top_post.mark):
        raise BadInput(
            job.file,
            f"flight {flight.mark}",
            "",
            "meets no other run: mark its bottom_post or its top_post with the post it shares",
        )
    if flight.bearing_rad is None:
        raise BadInput(
            job.file,
            f"flight {flight.mark} > bearing",
            "",
            "missing; its way up in plan, in degrees counter-clockwise from the site's x",
        )
    return flight.bearing_rad


def _both_places(level: LevelSpec, known: Mapping[str, PlanPost]) -> tuple[Point, Point] | None:
    start, end = known[level.start].at_mm, known[level.end].at_mm
    return None if start is None or end is None else (start, end)


def _level_bearing(job: Job, level: LevelSpec, known: Mapping[str, PlanPost]) -> float:
    if level.bearing_rad is not None:
        return level.bearing_rad
    places = _both_places(level, known)
    if places is None:
        raise BadInput(
            job.file,
            f"level {level.mark} > bearing",
            "",
            "missing; its way in plan in degrees, or the places (at) of both its posts",
        )
    (x0, y0), (x1, y1) = places
    return math.atan2(y1 - y0, x1 - x0)


def _level_length(job: Job, level: LevelSpec, known: Mapping[str, PlanPost]) -> float:
    if level.length_mm is not None:
        return level.length_mm
    places = _both_places(level, known)
    if places is None:
        raise BadInput(
            job.file,
            f"level {level.mark} > L",
            "",
            "missing; its length between post middles, or the places (at) of both its posts",
        )
    return math.dist(*places)


def _ways(job: Job, known: Mapping[str, PlanPost]) -> dict[str, list[tuple[str, float]]]:
    """By post: each run that comes to it and the way its rail leaves, in the order of marks."""
    runs = [(f.mark, *_flight_ends(f), _bearing(job, f)) for f in job.flights]
    runs += [(v.mark, v.start, v.end, _level_bearing(job, v, known)) for v in job.levels]
    ways: dict[str, list[tuple[str, float]]] = {}
    for run, start, end, bearing in sorted(runs):
        ways.setdefault(start, []).append((run, bearing % math.tau))
        ways.setdefault(end, []).append((run, (bearing + math.pi) % math.tau))
    return ways


def _returned_must_end(job: Job, ways: Mapping[str, list[tuple[str, float]]]) -> None:
    """Refuse a rail that is to turn back to a wall where another goes on."""
    asked = {post.mark: f"post {post.mark}" for post in job.posts if post.wall is not None}
    for flight in job.flights:
        for name, post in (("bottom", flight.bottom_post), ("top", flight.top_post)):
            if post.wall is not None:
                asked[post.mark] = f"flight {flight.mark} > {name}_post"
    for mark, place in asked.items():
        if len(ways.get(mark, ())) < 2:
            continue
        runs = " and ".join(run for run, _ in ways[mark])
        raise BadInput(
            job.file,
            f"{place} > return",
            f"runs {runs} meet at it",
            "only where one rail ends: another goes on from here",
        )


def _corners(
    job: Job, ways: Mapping[str, list[tuple[str, float]]]
) -> dict[tuple[str, str], Leaving]:
    """By run and post: how the run's rail leaves it."""
    found: dict[tuple[str, str], Leaving] = {}
    for post, coming in ways.items():
        leaving = leave_post(job.kit, [way for _, way in coming])
        for (first, one), (second, other) in combinations(
            zip([run for run, _ in coming], leaving, strict=True), 2
        ):
            short = room_short_mm(job.kit, one.way_rad, other.way_rad, _starts(job.kit, one, other))
            if short:
                angle = one.way_rad - other.way_rad
                angle = math.degrees(abs((angle + math.pi) % math.tau - math.pi))
                by = "" if math.isinf(short) else f", {short:.0f} mm too near"
                raise BadInput(
                    job.file,
                    f"post {post}",
                    f"runs {first} and {second} leave it {angle:.0f} degrees apart",
                    f"no room for the rails' ends of both{by}: give each run a post of its own, "
                    "with a level run between",
                )
        found |= {(run, post): one for (run, _), one in zip(coming, leaving, strict=True)}
    return found


def _starts(kit: Kit, *leaving: Leaving) -> float:
    """From where two rails' lines meet to the nearer of the two brackets' roots."""
    # Rails coped to a round post begin, at their sides, within its outline.
    widest = max(kit.rail(place).width_mm for place in RailPlace)
    half = kit.post.beside_mm(widest)
    return min(
        one.face_mm(kit, PostKind.POST) if one.point_mm != (0.0, 0.0) else half for one in leaving
    )


def _must_meet(job: Job, laid: Traverse) -> None:
    for run in laid.apart:
        raise BadInput(
            job.file,
            f"run {run}",
            "",
            "does not meet the other runs: give one of its posts a mark they share, or its place",
        )


def _must_close(job: Job, laid: Traverse) -> None:
    for off in laid.misclosures:
        # Each run's length is good to the kit's fit tolerance. common practice, no source
        allowed = job.kit.fit_tolerance_mm * len(off.runs)
        if off.by_mm <= allowed:
            continue
        x, y = (job.tape.say(abs(part)) for part in off.off_mm)
        raise BadInput(
            job.file,
            f"run {off.run} at post {off.post}",
            f"runs {', '.join(off.runs)} miss closing by {job.tape.say(off.by_mm)}",
            f"{x} along x and {y} along y; at most {job.tape.say(allowed)} is allowed. Look at "
            f"run {off.look_at} first: it lies nearest that way",
        )


def _site_posts(
    known: Mapping[str, PlanPost],
    corners: Mapping[tuple[str, str], Leaving],
    legs: Mapping[str, Leg],
    railings: Mapping[str, Railing],
    laid: Traverse,
    feet: Mapping[str, float],
) -> dict[str, SitePost]:
    posts = {}
    for mark in sorted(laid.places_mm):
        meetings = []
        for run in sorted(legs):
            for end, at in ((End.DOWNHILL, legs[run].start), (End.UPHILL, legs[run].end)):
                if at != mark:
                    continue
                railing = railings[run]
                post = railing.downhill_post if end is End.DOWNHILL else railing.uphill_post
                one = corners[run, mark]
                lies = legs[run].bearing_rad + (0.0 if end is End.DOWNHILL else math.pi)
                meetings.append(
                    Meeting(
                        run,
                        post,
                        post.face(end),
                        one.way_rad,
                        lies % math.tau,
                        one.skew,
                        post.height_mm,
                    )
                )
        first = meetings[0]
        kind = known[mark].kind if mark in known else PostKind.POST
        (x, y), one = laid.places_mm[mark], corners[first.run, mark]
        turned = _turned_on_rad(meetings)
        off = cmath.rect(1.0, turned) * complex(*one.point_mm)
        site_post = SitePost(
            mark=mark,
            kind=kind,
            at_mm=(x, y),
            middle_mm=(x - off.real, y - off.imag),
            foot_mm=feet[mark],
            turned_rad=one.turned_rad + turned,
            owner=first.run,
            height_mm=max(meeting.own_height_mm for meeting in meetings),
            meetings=tuple(meetings),
            easing=choose_easing(railings, tuple(meetings)),
        )
        posts[mark] = _under_rails(railings, site_post)
    return posts


def _turned_on_rad(meetings: Sequence[Meeting]) -> float:
    """How far a post is turned on with its runs where the plan's readings adjust their bearings.

    Between two runs it stands as much between them as before.
    """
    turns = [math.remainder(each.lies_rad - each.way_rad, math.tau) for each in meetings]
    turned = sum(turns) / len(turns)
    return turned if abs(turned) > SAME_RAD else 0.0


def _under_rails(railings: Mapping[str, Railing], post: SitePost) -> SitePost:
    """A post that runs share: cut for the highest rail beside it, under the lowest over it."""
    if len(post.meetings) > 1 and railings[post.owner].kit.top_end.runs_over:
        return replace(post, height_mm=top_under_rails_mm(railings, post))
    return post


def _one_height(railing: Railing, leg: Leg, posts: Mapping[str, SitePost]) -> Railing:
    """The run with its end posts as tall as the site has them, and whose piece each is."""

    def cut(post: Post, mark: str) -> Post:
        site = posts[mark]
        owned = site.owner == railing.spec.mark
        shared = len(site.meetings) > 1
        return replace(
            post,
            top_z_mm=post.surface_z_mm + site.height_mm,
            owned=owned,
            # A post that runs of unlike rake share is cut level.
            top_slope=0.0 if shared else post.top_slope,
        )

    ends = cut(railing.posts[0], leg.start), cut(railing.posts[-1], leg.end)
    return replace(railing, posts=(ends[0], *railing.posts[1:-1], ends[1]))


def _diagonals(
    legs: Mapping[str, Leg], posts: Mapping[str, SitePost]
) -> dict[tuple[str, str], float]:
    """Across each corner, from the middle of one run's far post to that of the other's.

    Only between feet at one height, where a tape held level measures it.
    """
    found = {}
    for one, other in combinations([legs[run] for run in sorted(legs)], 2):
        shared = {one.start, one.end} & {other.start, other.end}
        straight = abs(math.sin(one.bearing_rad - other.bearing_rad)) < SAME_RAD
        if len(shared) != 1 or straight:
            continue
        far = sorted(({one.start, one.end} | {other.start, other.end}) - shared)
        if abs(posts[far[0]].foot_mm - posts[far[1]].foot_mm) > SAME_MM:
            continue
        found[far[0], far[1]] = math.dist(posts[far[0]].middle_mm, posts[far[1]].middle_mm)
    return dict(sorted(found.items()))
