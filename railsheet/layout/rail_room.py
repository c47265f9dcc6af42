"""Whether two posts leave any rail between their brackets."""

from __future__ import annotations

from collections.abc import Iterable

from railsheet.errors import BadInput
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay
from railsheet.tolerance import SAME_MM


def must_hold_rails(bays: Iterable[Bay], file: str, place: str) -> None:
    """Refuse bays whose rails would end before they begin.

    Args:
        bays: as laid out.
        file: the job's file, for the message.
        place: where the posts are told, for the message.

    Raises:
        BadInput: a rail between its brackets has no length left along one of its edges.
    """
    for bay in bays:
        for rail in bay.rails:
            left_mm = rail.length_mm - sum(rail.short_mm(end) for end in End)
            if left_mm <= SAME_MM:
                raise BadInput(
                    file,
                    place,
                    f"bay {bay.number}",
                    f"the brackets leave no {rail.place.value} rail between them: move a post",
                )
        for each in bay.returns:
            left_mm = each.rail.length_mm - sum(each.rail.short_mm(end) for end in End)
            if left_mm <= SAME_MM:
                raise BadInput(
                    file,
                    place,
                    f"the top rail's {each.word}, {each.to_wall_mm:.0f} mm from the rail's middle "
                    "to the wall",
                    "nothing is left of it between its joint and the wall: read return > C again",
                )
