"""What was read of a flight beside its steps, posts and nosings, and how each is put otherwise."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from statistics import stdev

from railsheet.job.model import FlightSpec, Place, PostSpec
from railsheet.job.nosings import Nosings
from railsheet.survey.spreads import tape_sigma_mm


@dataclass(frozen=True)
class PostReading:
    """A reading of a post's place or height, beside the readings of the steps. mm.

    Attributes:
        name: what a person calls it.
        value_mm: as read.
        sigma_mm: its standard deviation.
        again_sigma_mm: of the reading taken (once more).
        taken: whether it was taken; one that was not stands at what the rest have.
        put: the flight's wishes with the reading at another value.
    """

    name: str
    value_mm: float
    sigma_mm: float
    again_sigma_mm: float
    taken: bool
    put: Callable[[FlightSpec, float], FlightSpec]

    @property
    def take(self) -> str:
        """What taking it (once more) is called."""
        return f"{self.name} again" if self.taken else self.name


def post_readings(spec: FlightSpec) -> tuple[PostReading, ...]:
    """The readings of the posts and of the nosings; where a free post goes is no reading."""
    step = spec.readings.instruments.read_to_mm

    def reading(
        name: str, value: float, put: Callable[[FlightSpec, float], FlightSpec]
    ) -> PostReading:
        sigma = tape_sigma_mm(value, step)
        return PostReading(name, value, sigma, sigma, True, put)

    found = list(_nosing_readings(spec.readings.nosings, step))
    for name, which in (("bottom", "bottom_post"), ("top", "top_post")):
        post: PostSpec = getattr(spec, which)
        fields = [("G, the slab's drop", "slab_drop_mm", post.slab_drop_mm or None)]
        if post.place is Place.STANDING:
            fields += [
                ("E", "from_nose_mm", post.from_nose_mm),
                ("I", "in_from_side_mm", post.in_from_side_mm),
                ("V", "height_mm", post.height_mm),
            ]
        for letter, field, value in fields:
            if value is None:
                continue

            def put(s: FlightSpec, v: float, w: str = which, f: str = field) -> FlightSpec:
                post: PostSpec = getattr(s, w)
                return _with_post(s, w, replace(post, **{f: v}))  # type: ignore[arg-type]

            found.append(reading(f"{letter} of the {name} post", value, put))
    return tuple(found)


def _nosing_readings(nosings: Nosings, step_mm: float) -> Iterator[PostReading]:
    """Those read, then those that were not, which scatter as the ones read do among themselves.

    One more of a sample of m scatters about their mean by s·√(1 + 1/m) (a prediction from a
    normal sample, from memory), and by the tape at the least.
    """

    def put_at(nose: int) -> Callable[[FlightSpec, float], FlightSpec]:
        def put(spec: FlightSpec, mm: float) -> FlightSpec:
            moved = spec.readings.nosings.reading(nose, mm)
            return replace(spec, readings=replace(spec.readings, nosings=moved))

        return put

    read = nosings.read_mm
    for nose, value in zip(nosings.noses_read, read, strict=True):
        name = "N, the nosing" if nosings.once else f"N {nose}, the nosing at nose {nose}"
        sigma = tape_sigma_mm(value, step_mm)
        yield PostReading(name, value, sigma, sigma, True, put_at(nose))
    for nose in nosings.unread:
        value = nosings.each_mm[nose - 1]
        name, taped = f"N {nose}, the nosing at nose {nose}", tape_sigma_mm(value, step_mm)
        among = stdev(read) * (1.0 + 1.0 / len(read)) ** 0.5
        yield PostReading(name, value, max(among, taped), taped, False, put_at(nose))


def _with_post(spec: FlightSpec, which: str, post: PostSpec) -> FlightSpec:
    if which == "bottom_post":
        return replace(spec, bottom_post=post)
    return replace(spec, top_post=post)
