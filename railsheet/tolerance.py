"""The few tolerances of the geometry, in one place, each with its reason."""

# Two lengths closer than this are the same length: a millionth of a millimetre is far below any
# tape and far above the noise of float64 sums over a site.
SAME_MM = 1e-6

# Two angles closer than this are the same angle: over 10 m it moves a point by a hundred thousandth
# of a millimetre, and atan(tan x) is off by far less.
SAME_RAD = 1e-9
