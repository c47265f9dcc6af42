"""Where a post's face may stand on its surface, and where the free post's windows lie."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.kit import Kit
from railsheet.job.model import Ground, PostSpec
from railsheet.layout.freedom import Window
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.rail_ends import End
from railsheet.layout.turned_post import middle_back_mm, turned_half_mm
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Bounds:
    """Limits on the face's place along the run, in mm; None where nothing limits it."""

    low_mm: float | None
    high_mm: float | None

    @property
    def room_mm(self) -> float | None:
        """How far the face can slide; negative where the plate does not fit; None if unbounded."""
        if self.low_mm is None or self.high_mm is None:
            return None
        return self.high_mm - self.low_mm


def face_from_nose(stair: Stair, spec: PostSpec, from_nose_mm: float) -> float:
    """The s of a post's face from its reading off the nose."""
    if spec.surface == 0:
        return stair.nose(1).s_mm - from_nose_mm
    return stair.nose(spec.surface).s_mm + from_nose_mm


def nose_from_face(stair: Stair, spec: PostSpec, face_s_mm: float) -> float:
    """What a tape reads from the nose to the post's face standing at s."""
    if not stair.noses:
        # A level run is measured from its first post's plan point.
        return face_s_mm
    if spec.surface == 0:
        return stair.nose(1).s_mm - face_s_mm
    return face_s_mm - stair.nose(spec.surface).s_mm


def centre_from_face(kit: Kit, spec: PostSpec, end: End, face_s_mm: float) -> float:
    """The post's middle along the run, behind the face that the rails meet."""
    return face_s_mm - end.inward * middle_back_mm(kit, spec.kind, spec.skew)


def plate_bounds(stair: Stair, spec: PostSpec, kit: Kit, end: End) -> Bounds:
    """Where the face may stand so that the plate lies wholly on its surface, clear of the steps.

    In front the plate keeps the kit's edge distance from the nose. Behind it, it keeps the back
    clearance from a closed riser's face, or the edge distance from an open tread's back edge; and
    the post itself, plumb, keeps the back clearance from the nose above. A post that the site
    turns takes the room of its turned plate and section.
    """
    surface = stair.surface(spec.surface)
    turned, wide = spec.skew.angle_rad, kit.post.width_mm
    half_plate, _ = turned_half_mm(kit.plate.along_mm, kit.plate.across_mm, turned)
    half_post, _ = turned_half_mm(wide, wide, turned)
    face_from_centre = end.inward * middle_back_mm(kit, spec.kind, spec.skew)
    low = high = None
    if surface.front_mm is not None:
        low = surface.front_mm + kit.plate.edge_distance_mm + half_plate + face_from_centre
    if surface.back_mm is not None and surface.overhang_mm is not None:
        # On the bottom surface there is no tread whose back edge could be open.
        open_back = stair.open_risers and surface.number > 0
        behind = kit.plate.edge_distance_mm if open_back else kit.plate.back_clearance_mm
        back = surface.back_mm - behind - half_plate
        beside = surface.overhang_mm - kit.plate.back_clearance_mm - half_post
        high = min(back, beside) + face_from_centre
    if spec.ground is Ground.SLAB and high is not None:
        # A slab lies lower, so its own first riser face is not read; the nose still bounds it.
        high = stair.nose(1).s_mm - kit.plate.back_clearance_mm - half_post + face_from_centre
    return Bounds(low, high)


def find_windows(
    rule: RowRule, fixed_face_s_mm: float, end: End, low_mm: float, high_mm: float
) -> tuple[Window, ...]:
    """Windows of the free post's face that touch [low, high], and the next on either side.

    Args:
        rule: how balusters are spaced.
        fixed_face_s_mm: the other post's face.
        end: the free post's end.
        low_mm, high_mm: the face's places that the plate allows; low may exceed high where the
            plate does not fit, and then every window is clipped away.
    """
    first, last = min(low_mm, high_mm), max(low_mm, high_mm)
    clear = sorted(max(end.inward * (fixed_face_s_mm - s), 0.0) for s in (first, last))
    counts = [count for count, _, _ in rule.bands_within(clear[0], clear[1])]
    if counts:
        wanted = range(max(counts[0] - 1, 1), counts[-1] + 2)
    else:
        below = rule.bands_within(0.0, clear[0])
        wanted = range(max(below[-1][0], 1), below[-1][0] + 2) if below else range(1, 2)
    windows = []
    for count in wanted:
        least, most = rule.band_mm(count)
        places = sorted(fixed_face_s_mm - end.inward * distance for distance in (least, most))
        clipped = max(places[0], low_mm), min(places[1], high_mm)
        windows.append(
            Window(
                balusters=count,
                low_s_mm=places[0],
                high_s_mm=places[1],
                clipped=clipped if clipped[1] - clipped[0] >= -SAME_MM else None,
            )
        )
    return tuple(sorted(windows, key=lambda window: window.low_s_mm))


def _best_place(window: Window, preferred_mm: float) -> float:
    """The place within a clipped window whose gaps stand deepest inside their range.

    That is the one nearest the window's middle that the plate allows; ``preferred_mm`` decides
    only where the allowed gap has no width and every place is as good.
    """
    assert window.clipped is not None
    low, high = window.clipped
    middle = (window.low_s_mm + window.high_s_mm) / 2
    if window.high_s_mm - window.low_s_mm <= SAME_MM:
        middle = preferred_mm
    return min(max(middle, low), high)


def choose_place(windows: tuple[Window, ...], preferred_mm: float) -> tuple[Window, float] | None:
    """The window and place with the most ease; equal ease goes to the place nearest preferred."""

    def ease(window: Window, place: float) -> float:
        return min(place - window.low_s_mm, window.high_s_mm - place)

    placed = [(w, _best_place(w, preferred_mm)) for w in windows if w.clipped is not None]
    if not placed:
        return None
    return max(
        placed,
        key=lambda pair: (round(ease(*pair) / SAME_MM), -abs(pair[1] - preferred_mm)),
    )


def nearest_place(
    windows: tuple[Window, ...], wanted_mm: float, inside_mm: float
) -> tuple[Window, float] | None:
    """The usable window nearest a wanted place, and the place in it.

    Inside a window the wanted place is kept. Outside, the post goes just inside the nearest edge:
    by ``inside_mm`` (how far a post may be set off its mark), or half the window if narrower.
    """
    best: tuple[float, Window, float] | None = None
    for window in windows:
        if window.clipped is None:
            continue
        low, high = window.clipped
        if low - SAME_MM <= wanted_mm <= high + SAME_MM:
            return window, wanted_mm
        step = min(inside_mm, (high - low) / 2)
        place = low + step if wanted_mm < low else high - step
        distance = low - wanted_mm if wanted_mm < low else wanted_mm - high
        if best is None or distance < best[0]:
            best = distance, window, place
    return None if best is None else (best[1], best[2])
