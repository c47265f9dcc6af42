"""The few tolerances of the geometry, in one place, each with its reason."""

# Two lengths closer than this are the same length: a millionth of a millimetre is far below any
# tape and far above the noise of float64 sums over a site.
SAME_MM = 1e-6
