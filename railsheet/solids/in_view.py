"""A job's solids seen from one way, what is hidden left out, by Open CASCADE."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import cadquery as cq
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_TangentialDeflection
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopoDS import TopoDS_Shape

from railsheet.job.model import Side
from railsheet.solids.given import without_infill
from railsheet.solids.part import PartKind
from railsheet.solids.raised import RaisedJob
from railsheet.solids.space import UP
from railsheet.solids.view_lines import FlatPoint, JobInView, PartsInView, SeenPost, ViewLine

# To the eye, in a run's frame: back down the run, out to the walking side, and up. Unlike one
# another, so that no edge of a stair falls on another's.
_BACK, _OUT, _UP = 0.75, 1.0, 0.7
# How far a curve's chords turn, radians, and stray from it, mm.
_TURN_RAD, _STRAY_MM = 0.2, 0.5
# What is visible is sorted by its place rounded to this many decimals of a millimetre.
_PLACES = 4

_Shown = Sequence[tuple[PartKind, cq.Shape]]


def job_in_view(
    job: RaisedJob, handrails: Mapping[str, cq.Assembly], *, planned: bool
) -> JobInView:
    """Runs from above the downhill corner of their walking side, then each handrail.

    Where runs stand together, the eye stands so to their first flight, else to their first run.

    Args:
        handrails: each handrail's solids by its mark.
        planned: whether a plan joins the runs, so that all stand together.
    """
    groups = [[*job.runs]] if planned else _on_one_stair(job)
    found = [_runs_in_view(job, marks) for marks in groups]
    sides = {raised.out.mark: float(raised.out.way.side) for raised in job.handrails}
    for mark, whole in handrails.items():
        shown = [(PartKind.RAIL, shape.moved(location)) for shape, _, location, _ in whole]
        lines = _visible(shown, _frame(sides[mark], 0.0))
        found.append(PartsInView(f"Handrail {mark}", lines))
    return tuple(found)


def _on_one_stair(job: RaisedJob) -> list[list[str]]:
    """Both hands of a stair together, every other run alone."""
    groups: list[list[str]] = []
    for mark, raised in job.runs.items():
        for group in groups:
            other = job.runs[group[0]].out
            twin = other.stair == raised.out.stair and other.side is not raised.out.side
            if twin and len(group) == 1:
                group.append(mark)
                break
        else:
            groups.append([mark])
    return groups


def _runs_in_view(job: RaisedJob, marks: Sequence[str]) -> PartsInView:
    first = min((job.runs[mark] for mark in marks), key=lambda raised: raised.out.level)
    way = 1.0 if first.out.side is Side.RIGHT else -1.0
    ahead = job.standings[first.out.mark].bearing_rad
    frame = _frame(way, ahead)
    shown: list[tuple[PartKind, cq.Shape]] = []
    stood_on: list[cq.Shape] = []
    posts = []
    for run in marks:
        place = job.location(run)
        for part in job.parts(run):
            solid = part.solid.moved(place)
            if part.kind is PartKind.GROUND:
                stood_on.append(solid)
                continue
            shown.append((part.kind, solid))
            if part.kind is PartKind.POST:
                posts.append(_seen(part.mark, solid, frame))
    return PartsInView(
        f"{'Run' if len(marks) == 1 else 'Runs'} {', '.join(marks)}",
        _visible([*shown, *_as_one(stood_on)], frame),
        tuple(sorted(posts, key=lambda post: post.mark)),
        tuple(
            f"run {mark}, bay {number}"
            for mark in marks
            for number in without_infill(job.runs[mark].out)
        ),
    )


def _frame(side: float, ahead_rad: float) -> cq.Plane:
    """The picture's plane, z to the eye and y up.

    Args:
        side: 1 where the walking side is to the left of one who looks ahead, else -1.
        ahead_rad: the way ahead, counter-clockwise from x.
    """
    cos, sin = math.cos(ahead_rad), math.sin(ahead_rad)
    out = side * _OUT
    eye = cq.Vector(-_BACK * cos - out * sin, -_BACK * sin + out * cos, _UP)
    return cq.Plane(origin=(0, 0, 0), xDir=UP.cross(eye), normal=eye)


def _as_one(stood_on: Sequence[cq.Shape]) -> Iterator[tuple[PartKind, cq.Shape]]:
    """Floors, steps and walls run into one another: as one, no edge shows where two meet."""
    if stood_on:
        first, *others = stood_on
        yield PartKind.GROUND, first.fuse(*others).clean() if others else first


def _seen(mark: str, post: cq.Shape, frame: cq.Plane) -> SeenPost:
    box = post.BoundingBox()
    middle = (box.xmin + box.xmax) / 2, (box.ymin + box.ymax) / 2
    ends = [cq.Vector(*middle, z) for z in (box.zmin, box.zmax)]
    foot, top = ((frame.xDir.dot(end), frame.yDir.dot(end)) for end in ends)
    return SeenPost(mark, foot, top)


def _visible(shown: _Shown, frame: cq.Plane) -> tuple[ViewLine, ...]:
    """Sharp edges and outlines, as far as nothing stands before them."""
    seen = HLRBRep_Algo()
    for _, shape in shown:
        seen.Add(shape.wrapped, 0)
    axes = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*frame.zDir.toTuple()), gp_Dir(*frame.xDir.toTuple()))
    seen.Projector(HLRAlgo_Projector(axes))
    seen.Update()
    seen.Hide()
    edges = HLRBRep_HLRToShape(seen)
    found: dict[tuple[FlatPoint, ...], str] = {}
    for kind, shape in shown:
        for some in (edges.VCompound(shape.wrapped), edges.OutLineVCompound(shape.wrapped)):
            for points in _polylines(some):
                # An edge that two parts share is one line: the first part's.
                found.setdefault(points, kind.value)
    return tuple(ViewLine(found[points], points) for points in sorted(found))


def _polylines(edges: TopoDS_Shape | None) -> Iterator[tuple[FlatPoint, ...]]:
    """Flat edges as chords, each from its left end."""
    if edges is None or edges.IsNull():
        return
    BRepLib.BuildCurves3d_s(edges)
    for edge in cq.Shape.cast(edges).Edges():
        chords = GCPnts_TangentialDeflection(BRepAdaptor_Curve(edge.wrapped), _TURN_RAD, _STRAY_MM)
        at = (chords.Value(number) for number in range(1, chords.NbPoints() + 1))
        points = tuple((round(p.X(), _PLACES) + 0.0, round(p.Y(), _PLACES) + 0.0) for p in at)
        if points[0] != points[-1] or len(points) > 2:
            yield min(points, points[::-1])
