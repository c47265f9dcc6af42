"""Enter a site's plan into the book of figures."""

from __future__ import annotations

from railsheet.figures.book import FigureBook
from railsheet.layout.site_model import Site


def plan_post_key(mark: str) -> str:
    """Where a post's plan figures stand in the book."""
    return f"site.post.{mark.replace('-', '_')}"


def diagonal_key(ends: tuple[str, str]) -> str:
    """Where a check diagonal stands in the book."""
    return f"site.diagonal.{'.'.join(mark.replace('-', '_') for mark in ends)}"


def enter_plan(book: FigureBook, site: Site) -> None:
    """Enter every plan figure, from the site's datum.

    The datum of the printed places is the least x and the least y of any post, so that none is
    negative.
    """
    datum = plan_datum(site)
    for mark, post in site.posts.items():
        key = plan_post_key(mark)
        book.length(f"{key}.x", post.at_mm[0] - datum[0], f"post {mark}: along x from the datum")
        book.length(f"{key}.y", post.at_mm[1] - datum[1], f"post {mark}: along y from the datum")
        book.length(f"{key}.foot", post.foot_mm, f"post {mark}: its foot over the site's datum")
        book.length(f"{key}.height", post.height_mm, f"post {mark}: cut height for all its runs")
        book.angle(f"{key}.turned", post.turned_rad, f"post {mark}: a face's way from x")
    for run, leg in site.legs.items():
        book.length(f"site.run.{run}.length", leg.length_mm, f"run {run}: between its end posts")
        book.angle(f"site.run.{run}.bearing", leg.bearing_rad, f"run {run}: its way from x")
    for ends, across in site.diagonals_mm.items():
        about = f"check across a corner, post {ends[0]} to post {ends[1]}"
        book.length(diagonal_key(ends), across, about)


def plan_datum(site: Site) -> tuple[float, float]:
    """The least x and the least y of any post's plan point, mm."""
    places = [post.at_mm for post in site.posts.values()]
    return min(x for x, _ in places), min(y for _, y in places)
