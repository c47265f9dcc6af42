"""The solved flight: posts, windows, rails, notices."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from railsheet.errors import BadInput
from railsheet.job.kit import find_kit
from railsheet.layout.infill.door import row_rule
from railsheet.layout.notice import Weight
from railsheet.layout.notices import railing_notices
from railsheet.layout.post_place import plate_bounds
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing

IN = 25.4
FREE = 'stands_on = "tread 1"\nplace = "free"'


def topics(railing: Railing, weight: Weight | None = None) -> set[str]:
    return {n.topic for n in railing.notices if weight in (None, n.weight)}


def text_of(railing: Railing, topic: str) -> str:
    from railsheet.units.display import default_tape
    from railsheet.units.length import Unit

    notice = next(n for n in railing.notices if n.topic == topic)
    return notice.text(default_tape(Unit.INCH))


def test_the_free_post_stands_where_both_gaps_are_right(solve) -> None:
    railing = solve()
    width, gap = railing.kit.baluster.width_mm, railing.bays[0].gap_mm
    assert railing.kit.infill.gap.least_mm <= gap <= railing.kit.infill.gap.most_mm
    first, last = railing.bays[0].baluster_s_mm[0], railing.bays[0].baluster_s_mm[-1]
    assert first - width / 2 - railing.downhill_post.face_s_mm == pytest.approx(gap)
    assert railing.uphill_post.face_s_mm - last - width / 2 == pytest.approx(gap)
    bounds = plate_bounds(railing.stair, railing.spec.bottom_post, railing.kit, End.DOWNHILL)
    assert bounds.low_mm <= railing.downhill_post.face_s_mm <= bounds.high_mm


def test_every_place_in_a_window_works_and_just_past_it_none_does(solve) -> None:
    railing = solve()
    gap, spacing = railing.kit.infill.gap, railing.bays[0].row.spacing_mm
    for window in railing.freedom.windows:
        filled = (window.balusters - 1) * spacing + railing.kit.baluster.width_mm
        for place, inside in (
            (window.low_s_mm + 0.01, True),
            (window.high_s_mm - 0.01, True),
            (window.low_s_mm - 0.01, False),
            (window.high_s_mm + 0.01, False),
        ):
            left = (railing.uphill_post.face_s_mm - place - filled) / 2
            assert (gap.least_mm <= left <= gap.most_mm) == inside


def test_windows_are_clipped_to_the_plate_and_have_neighbours(solve) -> None:
    freedom = solve().freedom
    assert [w.balusters for w in freedom.windows] == [14, 13, 12, 11]
    clipped = [w for w in freedom.windows if w.clipped]
    assert [w.balusters for w in clipped] == [13, 12]
    for window in clipped:
        low, high = window.clipped
        assert low >= freedom.plate_low_s_mm - 1e-9
        assert high <= freedom.plate_high_s_mm + 1e-9


@pytest.mark.parametrize(
    ("wanted", "placed"),
    [
        ("5", "5"),  # within the window of 13
        ("8 1/2", "8 1/2"),  # within the window of 12
        ("7", "6 37/64"),  # between them: back inside by the kit's fit tolerance
        ("7 1/4", "7 31/64"),
    ],
)
def test_a_wanted_place_is_kept_or_moved_just_inside(solve, wanted: str, placed: str) -> None:
    from railsheet.units.length import Unit, parse_length

    railing = solve((FREE, FREE + f'\nE = "{wanted}"'))
    expected = parse_length(placed, Unit.INCH)
    assert railing.downhill_post.face_s_mm == pytest.approx(expected, abs=IN / 64)
    moved = parse_length(wanted, Unit.INCH) != pytest.approx(expected)
    assert ("wanted" in topics(railing)) == moved
    if moved:
        assert "13 balusters fit from" in text_of(railing, "wanted")
        assert "12 balusters fit from" in text_of(railing, "wanted")


def test_no_window_on_the_step_is_said_with_the_nearest_cure(solve) -> None:
    # A wide plate leaves the face hardly any room, between the windows of 13 and 12.
    tight = solve(
        (FREE, FREE),
        ('E = "4"\nI', 'E = "3 5/8"\nI'),
        ('kit = "dunlin"', 'kit = "dunlin"'),
    )
    assert "window" not in topics(tight)
    railing = _with_plate(solve, "9")
    assert "window" in topics(railing, Weight.STOP) or "plate" in topics(railing, Weight.STOP)


def _with_plate(solve, along: str) -> Railing:
    import tempfile
    from pathlib import Path

    from railsheet.job.kit import find_kit

    text = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    with tempfile.NamedTemporaryFile("w", suffix=".toml", delete=False) as stream:
        stream.write(text.replace('along = "4"', f'along = "{along}"', 1))
    return solve(('kit = "dunlin"', f'kit = "{stream.name}"'))


def test_a_plate_longer_than_its_step_is_said(solve) -> None:
    railing = _with_plate(solve, "11")
    assert "too long for it" in text_of(railing, "plate")


def test_both_posts_standing_reports_the_gaps_that_result(solve) -> None:
    # In a window: nothing to say. Between windows: the gaps, and what the other count would leave.
    standing = 'stands_on = "tread 1"\nplace = "standing"\nI = "7/8"\nE = '
    fine = solve((FREE, standing + '"8 7/8"'))
    assert "gap" not in topics(fine)
    assert fine.freedom is None
    odd = solve((FREE, standing + '"7"'))
    assert "gap" in topics(odd, Weight.STOP)
    count, gap = len(odd.bays[0].baluster_s_mm), odd.bays[0].gap_mm
    spacing, width = odd.bays[0].row.spacing_mm, odd.kit.baluster.width_mm
    assert 2 * gap + (count - 1) * spacing + width == pytest.approx(odd.bays[0].clear_mm)
    assert "allowed is" in text_of(odd, "gap")
    assert "balusters would leave" in text_of(odd, "gap")


def test_posts_out_of_line_and_near_an_edge_are_said(solve) -> None:
    railing = solve((FREE, FREE + '\nI = "1/2"'))
    assert {"line", "edge"} <= topics(railing, Weight.STOP)


def test_a_standing_post_too_short_or_too_tall(solve) -> None:
    assert "cut it off at" in text_of(solve(), "standing height")
    short = solve(('V = "44"', 'V = "40"'))
    assert "short" in text_of(short, "standing height")
    assert "standing height" in topics(short, Weight.STOP)


def test_rake_past_the_kits_limit_is_bad_input(solve) -> None:
    with pytest.raises(BadInput, match=r"at most 40\.00°"):
        solve(('"10 1/2", "10 3/8", "10 5/8"', '"8", "7", "7 1/2"'))


def test_no_room_for_one_baluster_is_bad_input(solve) -> None:
    with pytest.raises(BadInput, match="no room for one baluster"):
        solve(
            (FREE, 'stands_on = "tread 5"\nplace = "set"\nE = "10 7/16"\nI = "7/8"'),
            ('E = "4"\nI', 'E = "1/2"\nI'),
        )


def test_hands_turn_opposite_ways(solve) -> None:
    low, high = solve().posts
    assert any("rising" in part.item for part in low.faces[0].parts)
    assert any("falling" in part.item for part in high.faces[0].parts)


def test_plumb_cut_long_and_short_points_differ_by_depth_times_tan_rake(solve) -> None:
    railing = solve(('kit = "dunlin"', 'kit = "whimbrel"'))
    tan = math.tan(railing.line.rake_rad)
    for rail in railing.bays[0].rails:
        assert rail.uphill.saw_rad == railing.line.rake_rad
        assert rail.short_mm(End.UPHILL) == pytest.approx(rail.kit.depth_mm * tan)
        assert rail.length_mm - rail.edge_length_mm == pytest.approx(rail.short_mm(End.UPHILL))


def test_rails_of_unequal_brackets_are_unequal(solve) -> None:
    railing = solve(('kit = "dunlin"', 'kit = "whimbrel"'))
    top, bottom = railing.bays[0].rails
    cos = math.cos(railing.line.rake_rad)
    # The pockets' backs are 4 mm thick above and below alike, so the cut edges are equal...
    assert top.edge_length_mm == pytest.approx((railing.bays[0].clear_mm - 8) / cos)
    assert bottom.edge_length_mm == pytest.approx(top.edge_length_mm)
    # ...but the rails differ in depth, and so from long point to long point.
    assert top.length_mm > bottom.length_mm


def test_the_trades_facts(solve) -> None:
    # common practice, no source: end gap 2 1/2 to 4 in; rail about 1 in into its bracket; post 2 in
    # above the top rail; plate 7/8 in from the step's side edge; mount 15/16 to 1 in across.
    railing = solve()
    assert 2.5 * IN <= railing.bays[0].gap_mm <= 4 * IN
    for rail in railing.bays[0].rails:
        assert rail.uphill.insertion_mm == pytest.approx(1 * IN)
        for end in End:
            inserted = rail.hole_to_cut_mm(end) - rail.hole_to_mouth_mm(end)
            assert inserted == pytest.approx(1 * IN)
    for post in railing.posts:
        assert post.top_z_mm - post.rail_top_z_mm == pytest.approx(2 * IN)
        assert post.in_from_side_mm == pytest.approx(0.875 * IN)
        over_all = railing.section.height_plumb_mm
        assert post.top_z_mm - post.underside_z_mm == pytest.approx(over_all + 2 * IN)
        for mount in post.mounts:
            assert mount.across_mm[0] == pytest.approx(0.9375 * IN)
            assert mount.across_mm[1] == pytest.approx(1 * IN)
    mean = sum(railing.line.height_over(nose) for nose in railing.stair.noses) / 6
    assert mean == pytest.approx(36 * IN)


def test_36_in_over_all_marks_the_post_38_in_above_the_underside(tmp_path, solve) -> None:
    # common practice, no source. The baluster is lengthened until the rails are 36 in over all.
    from pathlib import Path

    from railsheet.job.kit import find_kit

    railing = solve()
    longer = railing.kit.baluster.length_mm + 36 * IN - railing.section.height_plumb_mm
    text = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    path = tmp_path / "long.toml"
    path.write_text(text.replace('length = "33"', f'length = "{longer} mm"', 1))
    changed = solve(('kit = "dunlin"', f'kit = "{path}"'))
    assert changed.section.height_plumb_mm == pytest.approx(36 * IN)
    for post in changed.posts:
        assert post.top_z_mm - post.underside_z_mm == pytest.approx(38 * IN)


@pytest.mark.parametrize("downhill", [False, True])
def test_the_nearest_window_is_as_far_as_it_is_said_to_be(solve, downhill: bool) -> None:
    railing = _with_plate(solve, "10")
    assert railing.freedom is not None
    low, high = railing.freedom.plate_low_s_mm, railing.freedom.plate_high_s_mm
    windows = railing.freedom.windows
    if downhill:
        # The same, its one window uphill taken away.
        windows = tuple(window for window in windows if window.high_s_mm < low)
        freedom = replace(railing.freedom, windows=windows)
        railing = replace(railing, freedom=freedom)
    (notice,) = (
        n
        for n in railing_notices(railing, row_rule(railing.kit, railing.line.rake_rad))
        if n.topic == "window"
    )
    # From the stretch the plate allows to the nearest place of any window.
    gaps = {w.balusters: max(w.low_s_mm - high, low - w.high_s_mm) for w in windows}
    nearest = min(gaps, key=lambda count: gaps[count])
    assert dict(notice.lengths_mm)["shift"] == pytest.approx(gaps[nearest])
    assert f"with {nearest} balusters" in notice.words
    assert f"farther {'downhill' if downhill else 'uphill'}" in notice.words
    # It stands at that edge of what the plate allows, where the gaps are least wrong.
    if not downhill:
        assert railing.downhill_post.face_s_mm == pytest.approx(high)


@pytest.mark.parametrize(("pitch", "stands"), [("15/16", True), ("29/32", False)])
def test_balusters_that_would_stand_in_one_another_are_bad_input(
    solve, tmp_path, pitch: str, stands: bool
) -> None:
    text = find_kit("dunlin", tmp_path, "", "").read_text(encoding="utf-8")
    for old, new in (('pitch = "4 1/2"', f'pitch = "{pitch}"'), ('"1 1/8"', '"13/16"')):
        assert old in text
        text = text.replace(old, new, 1)
    (tmp_path / "close.toml").write_text(text, encoding="utf-8")
    change = ('kit = "dunlin"', f'kit = "{tmp_path / "close.toml"}"')
    # The stair's rake is 35.42°: balusters 3/4 in wide, a pitch apart along the rail, stand
    # 15/16·cos = 0.764 in apart, level, or 29/32·cos = 0.739 in.
    if stands:
        assert solve(change).bays[0].row.spacing_mm == pytest.approx(0.764 * IN, abs=0.02)
        return
    with pytest.raises(BadInput, match=r"would stand in one another, 18\.8 mm apart"):
        solve(change)
