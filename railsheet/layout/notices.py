"""Look a solved railing over for what a person must know before cutting."""

from __future__ import annotations

from collections.abc import Iterator

from railsheet.job.model import SQUARE, Ground, Place
from railsheet.layout.bay import corner_clearance_mm, mouth_covers_mm, past_face_mm
from railsheet.layout.bore_mouths import own_mouths
from railsheet.layout.footprint import footprint
from railsheet.layout.freedom import Freedom, Window
from railsheet.layout.infill.door import kind_of
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.notice import Notice, Weight, look, stop
from railsheet.layout.post import Post
from railsheet.layout.post_place import nose_from_face, plate_bounds
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Railing
from railsheet.tolerance import SAME_MM


def railing_notices(railing: Railing, rule: RowRule) -> tuple[Notice, ...]:
    """A railing's notices: what stops the cutting first, each in the order found."""
    found = [
        *_placing(railing, rule),
        *_posts(railing),
        *own_mouths(railing),
        *_rails(railing),
        *_fit(railing),
    ]
    found.sort(key=lambda notice: notice.weight is Weight.LOOK)
    return tuple(found)


def ground_words(post: Post) -> str:
    """What a post stands on, in words: ``tread 1``, ``the deck``."""
    if post.spec.ground is Ground.TREAD:
        return f"tread {post.spec.surface}"
    return f"the {post.spec.ground.value}"


def _placing(railing: Railing, rule: RowRule) -> Iterator[Notice]:
    freedom = railing.freedom
    if freedom is None:
        yield from _both_given(railing, rule)
    elif freedom.chosen is None:
        yield _no_window(railing, freedom, rule)
    elif freedom.wanted_s_mm is not None:
        yield from _wanted_moved(railing, freedom)
    for bay in railing.bays:
        if bay.clear_mm <= railing.kit.greatest_span_mm + SAME_MM:
            continue
        yield stop(
            "span",
            f"{{clear}} clear in bay {bay.number}; the kit spans at most {{most}}, and no place "
            "between takes a post that would keep every span",
            clear=bay.clear_mm,
            most=railing.kit.greatest_span_mm,
        )


def _both_given(railing: Railing, rule: RowRule) -> Iterator[Notice]:
    for bay in railing.bays:
        count = len(bay.baluster_s_mm)
        if not rule.outside_mm(bay.clear_mm, count):
            continue
        gap_least, gap_most = rule.gap_limits_mm
        other = count + 1 if bay.gap_mm > gap_most else count - 1
        start = f"bay {bay.number}: " if len(railing.bays) > 1 else ""
        words = start + (
            f"{count} balusters between the given posts leave {{gap}} at each end; allowed is "
            "{least} to {most}"
        )
        lengths = {"gap": bay.gap_mm, "least": gap_least, "most": gap_most}
        other_gap = rule.gap_mm(bay.clear_mm, other)
        if other >= 1 and other_gap > 0:
            words += f"; {other} balusters would leave {{other}}"
            lengths["other"] = other_gap
        least, most = rule.band_mm(count)
        apart = bay.clear_mm < least
        shift = least - bay.clear_mm if apart else bay.clear_mm - most
        way = "apart" if apart else "closer"
        words += f". Nearest cure: one post moved {{shift}}, so that they stand {way}"
        yield stop("gap", words, **lengths, shift=shift)


def _no_window(railing: Railing, freedom: Freedom, rule: RowRule) -> Notice:
    post = railing.free_post
    assert post is not None
    ground = ground_words(post)
    gap_least, gap_most = rule.gap_limits_mm
    lengths = {"least": gap_least, "most": gap_most}
    low, high = freedom.plate_low_s_mm, freedom.plate_high_s_mm
    if low > high:
        return stop(
            "plate",
            f"{post.with_article} cannot stand on {ground}: with the kit's edge distances its "
            "plate is {over} too long for it. Nearest cure: stand it on another step",
            over=low - high,
        )
    window, shift = _nearest_window(freedom, low, high)
    uphill = window.low_s_mm > high
    toward = "uphill" if uphill else "downhill"
    fixed = railing.uphill_post if post is railing.downhill_post else railing.downhill_post
    back = "downhill" if uphill else "uphill"
    cure = (
        f"move {fixed.with_article} {{shift}} {back}"
        if fixed.spec.place is Place.SET
        else "stand it on the next step"
    )
    return stop(
        "window",
        f"no place on {ground} gives {post.with_article} both gaps from {{least}} to {{most}} "
        f"with its plate where the kit wants it: the nearest, with {window.balusters} "
        f"balusters, lies {{shift}} farther {toward}. Nearest cure: {cure}",
        **lengths,
        shift=shift,
    )


def _nearest_window(freedom: Freedom, low: float, high: float) -> tuple[Window, float]:
    def away(window: Window) -> float:
        return max(window.low_s_mm - high, low - window.high_s_mm)

    nearest = min(freedom.windows, key=away)
    return nearest, away(nearest)


def _wanted_moved(railing: Railing, freedom: Freedom) -> Iterator[Notice]:
    post, wanted = railing.free_post, freedom.wanted_s_mm
    assert post is not None
    assert wanted is not None
    if abs(post.face_s_mm - wanted) <= SAME_MM:
        return
    usable = [w for w in freedom.windows if w.clipped is not None]
    words = (
        f"{post.with_article} was wanted {{wanted}} from the nose; with its plate where the kit "
        "wants it the gaps do not come right there. It is drawn at {place}"
    )
    lengths = {
        "wanted": nose_from_face(railing.stair, post.spec, wanted),
        "place": nose_from_face(railing.stair, post.spec, post.face_s_mm),
    }
    for number, window in enumerate(usable):
        assert window.clipped is not None
        ends = [nose_from_face(railing.stair, post.spec, s) for s in window.clipped]
        words += f"; {window.balusters} balusters fit from {{low{number}}} to {{high{number}}}"
        lengths |= {f"low{number}": min(ends), f"high{number}": max(ends)}
    yield look("wanted", words, **lengths)


def _posts(railing: Railing) -> Iterator[Notice]:
    kit = railing.kit
    low, high = railing.downhill_post, railing.uphill_post
    off_line = abs(low.in_from_side_mm - high.in_from_side_mm)
    if off_line > SAME_MM:
        yield stop(
            "line",
            "the plates stand {low} and {high} in from the step's side edge: the rail would run "
            "{off} out of line. Every figure here takes the posts to be in line",
            low=low.in_from_side_mm,
            high=high.in_from_side_mm,
            off=off_line,
        )
    for post in railing.posts:
        who = post.with_article
        edge = kit.plate.edge_distance_mm
        from_side = footprint(railing, post).from_side_mm
        if from_side < edge - SAME_MM:
            yield stop(
                "edge",
                f"{who}'s plate stands {{read}} in from the step's side edge; the kit asks for "
                "{edge}",
                read=from_side,
                edge=edge,
            )
        if post.height_mm > kit.post.stock_height_mm + SAME_MM:
            yield stop(
                "post stock",
                f"{who} must stand {{height}} tall; the kit's post is {{stock}}: {{short}} short",
                height=post.height_mm,
                stock=kit.post.stock_height_mm,
                short=post.height_mm - kit.post.stock_height_mm,
            )
        yield from _given_plate(railing, post)
        yield from _standing_height(post)
        yield from _cover_clear(railing, post)


def _given_plate(railing: Railing, post: Post) -> Iterator[Notice]:
    if post.spec.place is Place.FREE:
        return
    bounds = plate_bounds(railing.stair, post.spec, railing.kit, post.end)
    over = 0.0
    if bounds.low_mm is not None:
        over = max(over, bounds.low_mm - post.face_s_mm)
    if bounds.high_mm is not None:
        over = max(over, post.face_s_mm - bounds.high_mm)
    if over > SAME_MM:
        yield stop(
            "plate",
            f"{post.with_article}'s plate stands {{over}} past the kit's edge distance on "
            f"{ground_words(post)}",
            over=over,
        )


def _standing_height(post: Post) -> Iterator[Notice]:
    stands = post.spec.height_mm
    if stands is None:
        return
    if stands < post.height_mm - SAME_MM:
        yield stop(
            "standing height",
            f"{post.with_article} stands {{stands}} tall and must be {{height}}: {{short}} short",
            stands=stands,
            height=post.height_mm,
            short=post.height_mm - stands,
        )
    elif stands > post.height_mm + SAME_MM:
        yield look(
            "standing height",
            f"{post.with_article} stands {{stands}} tall: cut it off at {{height}}",
            stands=stands,
            height=post.height_mm,
        )


def _cover_clear(railing: Railing, post: Post) -> Iterator[Notice]:
    lowest = min((m.centre_z_mm - m.height_mm / 2 for m in post.mounts), default=post.rail_top_z_mm)
    cover_top = post.surface_z_mm + railing.kit.plate.thickness_mm
    cover_top = max(cover_top, post.surface_z_mm + railing.kit.cover.cover_height_mm)
    if lowest < cover_top - SAME_MM:
        yield stop(
            "cover",
            f"the lowest {post.mounts[-1].word} on {post.with_article} reaches {{over}} below the "
            "plate cover's top",
            over=cover_top - lowest,
        )


def _rails(railing: Railing) -> Iterator[Notice]:
    rake = railing.line.rake_rad
    first, last = railing.downhill_post.spec.skew, railing.uphill_post.spec.skew
    several = len(railing.bays) > 1
    for bay, rail in ((b, r) for b in railing.bays for r in b.rails):
        name = (
            f"bay {bay.number}'s {rail.place.value} rail"
            if several
            else (f"the {rail.place.value} rail")
        )
        for end in End:
            covered = mouth_covers_mm(rail, end) if rail.takes_balusters else 0.0
            if covered:
                yield stop(
                    "bracket over hole",
                    f"{name}'s {end.value} {rail.end(end).held_by} reaches {{over}} over its end "
                    "baluster's hole",
                    over=covered,
                )
            skew = SQUARE
            if end is End.DOWNHILL and bay is railing.bays[0]:
                skew = first
            elif end is End.UPHILL and bay is railing.bays[-1]:
                skew = last
            past = past_face_mm(rail, end, railing.kit.post.width_mm, skew.angle_rad)
            if past > SAME_MM:
                yield stop(
                    "rail past post",
                    f"{name}'s {end.value} end would stand {{over}} past the edge of the post's "
                    "face that it is cut to: it wants a broader post, or a narrower turn",
                    over=past,
                )
            clearance = corner_clearance_mm(rail, end, rake, skew.angle_rad)
            if rail.end(end).stays_out and clearance < -SAME_MM:
                yield stop(
                    "rail against post",
                    f"{name}'s {end.value} corner would stand {{over}} within the post",
                    over=-clearance,
                )
        yield from _showing_holes(rail, name)
    for number, nose in enumerate(railing.stair.noses, start=1):
        if not railing.spans(nose):
            continue
        over = railing.line.height_over(nose) - railing.underside_drop_mm
        if over < -SAME_MM:
            yield stop(
                "rail against nose",
                f"the bottom rail would run {{into}} into nose {number}",
                into=-over,
            )


def _showing_holes(rail: Rail, name: str) -> Iterator[Notice]:
    size_mm = rail.hole_mm
    uphill_mouth = rail.mouth_from_uphill_mm(End.UPHILL)
    downhill_mouth = rail.mouth_from_uphill_mm(End.DOWNHILL)
    half = size_mm / 2
    for hole in rail.holes:
        if hole.baluster is not None:
            continue
        shows = min(
            hole.from_uphill_mm + half - uphill_mouth, downhill_mouth - hole.from_uphill_mm + half
        )
        if shows > SAME_MM:
            yield look(
                "empty hole",
                f"an empty hole in {name}, {{at}} from its uphill end, shows "
                "{shows} outside its bracket: plug it",
                at=hole.from_uphill_mm,
                shows=min(shows, size_mm),
            )


def _fit(railing: Railing) -> Iterator[Notice]:
    """What the infill itself asks to be known; said once, however many bays say it."""
    said: list[Notice] = []
    for bay in railing.bays:
        for notice in kind_of(railing.kit).notices(railing.kit, bay.section.rake_rad, bay.infill):
            if notice not in said:
                said.append(notice)
    yield from said
