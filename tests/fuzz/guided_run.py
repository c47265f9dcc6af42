"""A coverage-guided fuzz run by hand, where atheris is installed (it is no dependency).

    pip install atheris
    python tests/fuzz/guided_run.py -runs=100000 -rss_limit_mb=1024 -timeout=10

Each input is read as a length in both units, and as a job file.
"""

from __future__ import annotations

import math
import sys
import tempfile
from importlib import import_module
from pathlib import Path

# No dependency of the tests: whoever runs this has installed it.
atheris = import_module("atheris")

with atheris.instrument_imports(include=["railsheet", "tomllib"]):
    from railsheet.errors import BadInput
    from railsheet.job.load import load_job
    from railsheet.job.located import located
    from railsheet.units.length import LengthError, Unit, parse_length

FOLDER = tempfile.TemporaryDirectory()
JOB = Path(FOLDER.name) / "job.toml"


def one_input(data: bytes) -> None:
    text = data.decode("utf-8", "ignore")
    for unit in Unit:
        try:
            length = parse_length(text, unit)
        except LengthError:
            continue
        assert math.isfinite(length)
        assert length >= 0
    JOB.write_bytes(data)
    try:
        load_job(JOB)
    except BadInput as bad:
        if "\n" in str(located(bad)):
            raise ValueError("a message of several lines") from bad


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
