"""Enter one flight's solved railing and its pieces into the book of figures."""

from __future__ import annotations

import math
from collections.abc import Sequence

from railsheet.cuts.pieces import FillPiece, Pieces, PostPiece, RailPiece
from railsheet.cuts.take_off import TakeOffLine
from railsheet.figures.book import FigureBook, Toward
from railsheet.layout.footprint import footprint
from railsheet.layout.infill.door import row_rule
from railsheet.layout.infill.parts import Fact, FactUnit
from railsheet.layout.notice import Notice
from railsheet.layout.post import Post, PostFace
from railsheet.layout.post_place import nose_from_face
from railsheet.layout.rail_ends import End
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Bay, Railing
from railsheet.survey.stair import Stair
from railsheet.units.length import Unit


def enter_flight(
    book: FigureBook,
    railing: Railing,
    pieces: Pieces,
    parts: tuple[TakeOffLine, ...],
    notices: tuple[Notice, ...],
) -> None:
    """Enter every figure of one flight, its keys starting with the flight's mark."""
    at = railing.spec.mark
    enter_walk(book, railing)
    for bay in railing.bays:
        enter_bay(book, at, bay)
    enter_posts(book, railing, pieces.posts)
    for rail in pieces.rails:
        enter_rail(book, at, rail)
    for fill in pieces.fills:
        enter_fill(book, at, fill)
    enter_parts(book, at, parts)
    enter_noticed(book, at, notices)


def enter_walk(book: FigureBook, railing: Railing) -> None:
    """Enter the stair that a run goes over, and the rail's line."""
    if not railing.level:
        _stair(book, railing.spec.mark, railing)
    _line(book, railing.spec.mark, railing)


def enter_posts(book: FigureBook, railing: Railing, posts: Sequence[PostPiece]) -> None:
    """Enter where a run's posts stand, where they may, and how they are cut."""
    at = railing.spec.mark
    _infill(book, at, railing)
    _freedom(book, at, railing)
    for post in posts:
        _post(book, at, railing, post)


def enter_parts(book: FigureBook, at: str, parts: tuple[TakeOffLine, ...]) -> None:
    """Enter a take-off's counts."""
    for number, part in enumerate(parts, start=1):
        book.count(f"{at}.part.{number}.count", part.count, f"{part.item}: needed")
        book.count(f"{at}.part.{number}.buy", part.buy, f"{part.item}: to buy, spares included")
        if part.stock_mm is not None:
            book.length(f"{at}.part.{number}.stock", part.stock_mm, f"{part.item}: bar length")


def enter_noticed(book: FigureBook, at: str, notices: tuple[Notice, ...]) -> None:
    """Enter the lengths that notices name."""
    for number, notice in enumerate(notices, start=1):
        for name, value in notice.lengths_mm:
            about = f"in the notice on {notice.topic}"
            book.length(f"{at}.notice.{number}.{name}", value, about)


def _stair(book: FigureBook, at: str, railing: Railing) -> None:
    stair = railing.stair
    for number, riser in enumerate(stair.risers_mm, start=1):
        book.length(f"{at}.riser.{number}", riser, f"riser {number}")
    for number, run in enumerate(stair.runs_mm, start=1):
        book.length(f"{at}.run.{number}", run, f"run {number}, level, nose to nose")
    book.length(f"{at}.total_rise", stair.noses[-1].z_mm, "total rise")
    book.length(f"{at}.total_run", stair.noses[-1].s_mm, "total run, nose 1 to the deck's nose")
    book.length(f"{at}.tread_thickness", stair.tread_thickness_mm, "tread thickness at the nose")
    book.length(f"{at}.step_width", stair.width_mm, "width of the steps")
    for number, nose in enumerate(stair.noses, start=1):
        name = f"nose {number}"
        book.length(f"{at}.nose.{number}.s", nose.s_mm, f"{name}: level, from nose 1")
        book.length(f"{at}.nose.{number}.z", nose.z_mm, f"{name}: above the bottom surface")
        book.length(f"{at}.nosing.{number}", stair.nosing_mm(number), f"{name}: its projection")
        over = railing.line.height_over(nose)
        book.length(f"{at}.nose.{number}.rail_height", over, f"top of the top rail over {name}")
        book.length(
            f"{at}.nose.{number}.underside_height",
            over - railing.underside_drop_mm,
            f"underside of the bottom rail over {name}",
        )


def _line(book: FigureBook, at: str, railing: Railing) -> None:
    line, section = railing.line, railing.section
    book.angle(f"{at}.rake", line.rake_rad, "the rail's angle from horizontal")
    book.ratio(f"{at}.slope", line.slope, "the rail's rise over its run")
    book.length(f"{at}.rail_height_wanted", railing.spec.rail_height_mm, "wanted rail height")
    if not railing.level:
        _over_noses(book, at, railing)
    book.length(f"{at}.section_height", section.height_plumb_mm, "rails over all, plumb")
    book.length(f"{at}.clear_square", section.clear_square_mm, "between the rails, square to them")
    book.length(f"{at}.clear_plumb", section.clear_plumb_mm, "between the rails, plumb")


def deviation_key(mark: str) -> str:
    """Where the rail height's greatest miss stands in the book."""
    return f"{mark}.deviation"


def deviation_mm(line: RailLine, stair: Stair, wanted_mm: float) -> float:
    """How far at the most the rail's height over a nose misses the wanted one."""
    return max(abs(line.height_over(nose) - wanted_mm) for nose in stair.noses)


def _over_noses(book: FigureBook, at: str, railing: Railing) -> None:
    line = railing.line
    deviation = deviation_mm(line, railing.stair, railing.spec.rail_height_mm)
    book.length(deviation_key(at), deviation, "rail height's greatest miss of the wanted one")
    if railing.spec.band_mm is not None:
        low, high = railing.spec.band_mm
        book.length(f"{at}.band.least", low, "least rail height allowed over a nose")
        book.length(f"{at}.band.most", high, "greatest rail height allowed over a nose")
    run = railing.stair.noses[-1].s_mm
    book.length(
        f"{at}.line_length",
        run / math.cos(line.rake_rad),
        "along the rake, over the total run",
    )


def _infill(book: FigureBook, at: str, railing: Railing) -> None:
    if railing.bays[0].infill.row is None:
        return
    rule = row_rule(railing.kit, railing.section.rake_rad)
    least, most = rule.gap_limits_mm
    book.length(f"{at}.gap_least", least, "least allowed gap at a post")
    book.length(f"{at}.gap_most", most, "greatest allowed gap at a post")


def enter_bay(book: FigureBook, at: str, bay: Bay) -> None:
    """Enter a bay of the run of a mark, and how it is filled."""
    key = f"{at}.bay.{bay.number}"
    name = f"bay {bay.number}"
    noun, row = bay.infill.noun, bay.infill.row
    book.length(f"{key}.clear", bay.clear_mm, f"{name}: between the post faces, level")
    for fact in bay.infill.facts:
        about = f"{name}: {fact.words.rstrip(':')}"
        enter_fact(book, f"{key}.{fact.name}", about, fact)
    rising, falling = bay.diagonals_mm
    book.length(
        f"{key}.diagonal.rising", rising, f"{name}: bottom rail downhill to top rail uphill"
    )
    book.length(
        f"{key}.diagonal.falling", falling, f"{name}: top rail downhill to bottom rail uphill"
    )
    if row is None:
        book.count(f"{key}.members", bay.infill.count, f"{name}: {noun}s")
        return
    book.count(f"{key}.balusters", len(row.centres_mm), f"{name}: {noun}s")
    book.length(f"{key}.gap", row.gap_mm, f"{name}: between each post and its {noun}")
    for count, least, most in row.bands:
        about = f"{name}: clear for {count} {noun}s"
        book.length(f"{key}.band.{count}.least", least, f"{about}, least", Toward.UP)
        book.length(f"{key}.band.{count}.most", most, f"{about}, greatest", Toward.DOWN)
    for number, place in enumerate(row.centres_mm, start=1):
        book.length(
            f"{key}.baluster.{number}.from_face",
            place - bay.downhill_face_mm,
            f"{name}: {noun} {number}'s centre from the downhill face, level",
        )


def enter_fact(book: FigureBook, key: str, about: str, fact: Fact) -> None:
    """Enter a fact as what it is: a length, an angle or a count."""
    if fact.unit is FactUnit.ANGLE:
        book.angle(key, fact.value, about)
    elif fact.unit is FactUnit.COUNT:
        book.count(key, int(fact.value), about)
    else:
        toward = Toward.DOWN if fact.at_most else Toward.NEAREST
        book.length(key, fact.value, about, toward)


def fill_key(mark: str, fill: FillPiece) -> str:
    """Where the figures of a bay's cut pieces stand in the book."""
    return f"{mark}.bay.{fill.bay}.fill.{fill.piece.suffix}"


def enter_fill(book: FigureBook, at: str, fill: FillPiece) -> None:
    """Enter a bay's cut pieces."""
    key, piece = fill_key(at, fill), fill.piece
    name = f"bay {fill.bay}, {piece.name}"
    book.count(f"{key}.count", piece.count, f"{name}: pieces")
    book.length(f"{key}.length", piece.length_mm, f"{name}: long point to long point")
    book.length(f"{key}.edge", piece.edge_mm, f"{name}: along one edge, cut to cut")
    book.angle(f"{key}.saw", piece.saw_rad, f"{name}: both ends off square")


def _freedom(book: FigureBook, at: str, railing: Railing) -> None:
    freedom, post = railing.freedom, railing.free_post
    if freedom is None or post is None:
        return

    def reads(s_mm: float) -> float:
        return nose_from_face(railing.stair, post.spec, s_mm)

    for window in freedom.windows:
        key, name = f"{at}.window.{window.balusters}", f"window of {window.balusters} balusters"
        ends = sorted((reads(window.low_s_mm), reads(window.high_s_mm)))
        book.length(f"{key}.gaps_from", ends[0], f"{name}, gaps alone: from the nose", Toward.UP)
        book.length(f"{key}.gaps_to", ends[1], f"{name}, gaps alone: from the nose", Toward.DOWN)
        if window.clipped is not None:
            ends = sorted(reads(s) for s in window.clipped)
            book.length(f"{key}.from", ends[0], f"{name}: nearest to the nose", Toward.UP)
            book.length(f"{key}.to", ends[1], f"{name}: farthest from the nose", Toward.DOWN)
    if freedom.chosen is not None and freedom.chosen.clipped is not None:
        low, high = freedom.chosen.clipped
        # A post set on the very edge of its window has no room there, not a millionth less.
        uphill, downhill = max(high - post.face_s_mm, 0.0), max(post.face_s_mm - low, 0.0)
        book.length(f"{at}.window.slide_uphill", uphill, "room to slide uphill", Toward.DOWN)
        book.length(f"{at}.window.slide_downhill", downhill, "room to slide downhill", Toward.DOWN)


def _post(book: FigureBook, at: str, railing: Railing, piece: PostPiece) -> None:
    post = piece.post
    key = post_key(at, post)
    name = post.words
    plate = footprint(railing, post)
    start = "first post's plan point" if railing.level else "nose"
    from_nose = nose_from_face(railing.stair, post.spec, post.face_s_mm)
    book.length(f"{key}.from_nose", from_nose, f"{name}: {start} to its face")
    book.length(f"{key}.face_s", post.face_s_mm, f"{name}: its face from nose 1, uphill positive")
    book.length(f"{key}.surface_z", post.surface_z_mm, f"{name}: its surface over the bottom one")
    book.length(f"{key}.height", post.height_mm, f"{name}: cut height from its surface")
    book.length(f"{key}.in_from_side", plate.from_side_mm, f"{name}: plate from the side edge")
    surface = railing.stair.surface(post.spec.surface)
    if surface.front_mm is not None:
        book.length(
            f"{key}.plate_from_nose",
            plate.low_s_mm - surface.front_mm,
            f"{name}: plate's downhill edge from the nose",
        )
    if surface.back_mm is not None:
        book.length(
            f"{key}.plate_to_riser",
            surface.back_mm - plate.high_s_mm,
            f"{name}: plate's uphill edge to the riser behind",
        )
    if post.made:
        book.angle(f"{key}.top_saw", math.atan(post.top_slope), f"{name}: its top off square")
    if post.top_slope:
        low = post.height_mm - post.top_slope * railing.kit.post.width_mm
        book.length(f"{key}.height_low", low, f"{name}: cut height at its downhill face")
    if piece.cut_off_mm is not None:
        book.length(f"{key}.cut_off", piece.cut_off_mm, f"{name}: what comes off its top")
    for way, slide in zip(("downhill", "uphill"), post.slide_mm or (), strict=False):
        book.length(f"{key}.slide_{way}", slide, f"{name}: room to slide {way}", Toward.DOWN)
    if post.easing is not None:
        from railsheet.figures.easing import enter_easing

        enter_easing(book, key, post, post.easing)
    for face in post.faces:
        _face(book, face_key(at, post, face), f"{name}, {face.side} face", post, face)


def post_key(mark: str, post: Post) -> str:
    """Where a post's figures stand in the book."""
    return f"{mark}.post.{post.key}"


def face_key(mark: str, post: Post, face: PostFace) -> str:
    """Where the figures of one of a post's faces stand in the book."""
    key = post_key(mark, post)
    return f"{key}.{face.side}" if post.through else key


def _face(book: FigureBook, key: str, name: str, post: Post, face: PostFace) -> None:
    book.length(
        f"{key}.above_underside",
        post.top_z_mm - face.underside_z_mm,
        f"{name}: cut height from the underside of the bottom rail",
    )
    book.length(f"{key}.datum", 0.0, f"{name}: zero at the underside of the bottom rail")
    book.length(
        f"{key}.underside",
        face.underside_z_mm - post.surface_z_mm,
        f"{name}: underside of the bottom rail from its surface",
    )
    book.length(
        f"{key}.rail_top",
        face.rail_top_z_mm - post.surface_z_mm,
        f"{name}: top of the top rail from its surface",
    )
    for mount in face.mounts:
        at_mount, what = (
            f"{key}.mount.{mount.place.value}",
            f"{name}, {mount.place.value} {mount.word}",
        )
        book.length(
            f"{at_mount}.height", mount.centre_z_mm - post.surface_z_mm, f"{what}: centre's height"
        )
        book.length(
            f"{at_mount}.above_underside",
            mount.centre_z_mm - face.underside_z_mm,
            f"{what}: centre over the underside of the bottom rail",
        )
        least, most = mount.across_mm
        book.length(f"{at_mount}.across_least", least, f"{what}: least across")
        book.length(f"{at_mount}.across_most", most, f"{what}: most across")
        if mount.deep_mm:
            book.length(f"{at_mount}.tall", mount.height_mm, f"{what}: upright")
            book.length(f"{at_mount}.wide", mount.width_mm, f"{what}: across the post")
            book.length(f"{at_mount}.deep", mount.deep_mm, f"{what}: into the post")
    for bore in face.bores:
        at_bore, what = f"{key}.bore.{bore.number}", f"{name}, {bore.noun} {bore.number}'s hole"
        height = face.bore_z_mm(bore) - post.surface_z_mm
        book.length(f"{at_bore}.height", height, f"{what}: its axis's height")
        book.length(f"{at_bore}.diameter", bore.diameter_mm, f"{what}: across it")


def rail_key(mark: str, piece: RailPiece) -> str:
    """Where a rail's figures stand in the book."""
    beyond = "" if piece.beyond is None else f".return.{piece.beyond.end.value}"
    return f"{mark}.bay.{piece.bay}.rail.{piece.rail.place.value}{beyond}"


def enter_rail(book: FigureBook, at: str, piece: RailPiece) -> None:
    """Enter a rail of the run of a mark, its holes and its cuts."""
    rail = piece.rail
    key = rail_key(at, piece)
    name = f"bay {piece.bay}, {piece.words}"
    if piece.beyond is not None:
        beyond = piece.beyond
        book.length(f"{key}.to_wall", beyond.to_wall_mm, f"{name}: rail's middle to the wall")
        book.length(f"{key}.past", beyond.past_mm, f"{name}: post's outer face to its middle")
        book.length(f"{key}.clear", beyond.clear_mm, f"{name}: post's side to the wall")
        book.length(f"{key}.gap", beyond.gap_mm, f"{name}: its cut end to the wall")
    book.length(f"{key}.length", rail.length_mm, f"{name}: long point to long point")
    book.length(
        f"{key}.edge_length", rail.edge_length_mm, f"{name}: along the face toward the infill"
    )
    for number, hole in enumerate(rail.holes, start=1):
        what = f"baluster {hole.baluster}" if hole.baluster else "left empty"
        book.length(
            f"{key}.hole.{number}",
            hole.from_uphill_mm,
            f"{name}: hole {number} from the uphill end, {what}",
        )
    for end in End:
        cut = rail.end(end)
        at_end, what = f"{key}.{end.value}", f"{name}, {end.value}"
        book.angle(f"{at_end}.saw", cut.saw_rad, f"{what}: off square")
        if cut.slant or cut.cope_mm:
            from railsheet.layout.development import around_mm, edge_mm

            step = Unit.INCH.mm if book.tape.unit is Unit.INCH else 10.0
            paper = f"{what}: paper to wrap round it"
            book.length(f"{at_end}.template.around", around_mm(rail), f"{paper}, once round")
            book.length(f"{at_end}.template.edge", edge_mm(rail, end, step), f"{paper}, its height")
        if cut.cope_mm:
            hollow = abs(cut.u_at(0.0, rail.kit.width_mm / 2) - cut.u_at(0.0))
            book.length(f"{at_end}.cope", hollow, f"{what}: how deep the cope goes in")
            book.length(f"{at_end}.cope_radius", cut.cope_mm, f"{what}: the cope's round")
        if cut.slant:
            from railsheet.layout.compound import Lies

            flat = cut.setting(Lies.ON_UNDERSIDE)
            book.angle(f"{at_end}.bevel", cut.bevel_rad, f"{what}: blade's tilt, on its side")
            book.angle(f"{at_end}.flat.mitre", abs(flat.mitre_rad), f"{what}: mitre, lying flat")
            book.angle(f"{at_end}.flat.bevel", abs(flat.bevel_rad), f"{what}: bevel, lying flat")
        book.length(
            f"{key}.{end.value}.short_point",
            rail.short_mm(end),
            f"{name}, {end.value}: short point back from long point",
        )
        if rail.takes_balusters:
            book.length(
                f"{key}.{end.value}.hole_to_cut",
                rail.hole_to_cut_mm(end),
                f"{name}, {end.value}: end baluster's hole to the cut, on the face toward it",
            )
            book.length(
                f"{key}.{end.value}.hole_to_mouth",
                rail.hole_to_mouth_mm(end),
                f"{name}, {end.value}: end baluster's hole to where the {cut.held_by} begins",
            )
        book.length(
            f"{key}.{end.value}.mouth",
            rail.mouth_from_uphill_mm(end),
            f"{name}, {end.value}: where the {cut.held_by} begins, from the uphill end",
        )
        book.length(f"{key}.{end.value}.insertion", cut.insertion_mm, f"{name}, {end.value}: into")


def enter_alone(book: FigureBook, key: str, piece: RailPiece, *, held: bool) -> None:
    """Enter a rail's place on a bar of its own, or in its panel.

    ``held``: whether that bar or panel holds it; its length is entered only then.
    """
    name = piece.mark
    book.length(f"{key}.trim", piece.on_bar.trim_mm, f"{name}: bar's end to the uphill cut")
    if piece.on_bar.first_hole is not None:
        first = piece.on_bar.first_hole
        book.count(f"{key}.first_hole", first, f"{name}: bar's hole used first")
    book.length(f"{key}.needs", piece.on_bar.needs_mm, f"{name}: bar used, trim included")
    if held and piece.on_bar.stock_mm is not None:
        book.length(f"{key}.stock", piece.on_bar.stock_mm, f"{name}: bar to cut it from")
