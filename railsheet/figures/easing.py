"""Enter an easing over a post into the book of figures."""

from __future__ import annotations

from railsheet.figures.book import FigureBook
from railsheet.layout.easing import Easing
from railsheet.layout.post import Post


def enter_easing(book: FigureBook, key: str, post: Post, easing: Easing) -> None:
    """Enter every figure of an easing, as the run sees it whose post it is.

    Args:
        key: the post's key.
    """
    at, name = f"{key}.easing", f"{post.words}, its easing"
    face = post.faces[0]
    own, _ = easing.ends(0.0, easing.reach_mm)
    for part, value, about in (
        ("radius", easing.kit.radius_mm, "radius of its axis"),
        ("leg", easing.kit.leg_mm, "straight leg at either end"),
        ("tangent", easing.tangent_mm, "where the axes meet to either end of the arc"),
        ("external", easing.external_mm, "where the axes meet to the arc's middle"),
        ("arc", easing.arc_mm, "along the arc, on its axis"),
        ("over_all", easing.over_all_mm, "end to end, along its axis"),
        ("reach", easing.reach_mm, "where the axes meet to its end, along the rail"),
        ("set_back", easing.set_back_mm, "where the axes meet to the rail's cut, along the rail"),
        ("insertion", easing.kit.insertion_mm, "how far a rail goes into it"),
        ("from_face", abs(own[0] - face.s_mm), "the post's face to its end on the axis, level"),
        ("meet", abs(easing.meet[0] - face.s_mm), "the post's face to where the axes meet, level"),
        ("meet_height", easing.meet[1] - post.surface_z_mm, "where the axes meet, over the foot"),
        ("top", easing.top_z(post.centre_s_mm) - post.surface_z_mm, "its top over the foot"),
    ):
        book.length(f"{at}.{part}", value, f"{name}: {about}")
    book.angle(f"{at}.turn", easing.turn_rad, f"{name}: the plumb angle it turns by")
