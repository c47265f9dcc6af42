"""Figures over short pieces: apart from each other, and, where asked, from each other's lines."""

from hypothesis import given
from hypothesis import strategies as st

from railsheet.sheets.stacked_rows import stacked_rows

SPANS = st.lists(
    st.tuples(st.floats(0.5, 40.0), st.floats(0.0, 60.0)), min_size=1, max_size=12
).map(
    lambda pieces: [
        (at, at + wide, at + wide + past)
        for at, (wide, past) in zip(
            [sum(w for w, _ in pieces[:n]) for n in range(len(pieces))], pieces, strict=True
        )
    ]
)


@given(SPANS, st.booleans())
def test_no_figure_lies_over_another(spans, over_lines) -> None:
    rows = stacked_rows(spans, over_lines=over_lines)
    for n, (start, _, reach) in enumerate(spans):
        for m, (begin, _, far) in enumerate(spans[:n]):
            assert rows[n] != rows[m] or start >= far or begin >= reach


@given(SPANS)
def test_no_line_rises_through_a_figure(spans) -> None:
    rows = stacked_rows(spans, over_lines=True)
    for n, (_, end, reach) in enumerate(spans):
        for m, (begin, stop, _) in enumerate(spans):
            crossed = end < begin < reach or end < stop < reach
            assert m == n or not crossed or rows[n] > rows[m]


def test_neighbours_that_fit_alternate() -> None:
    assert stacked_rows([(0, 9, 9), (9, 18, 18), (18, 27, 27)], over_lines=True) == (0, 1, 0)
