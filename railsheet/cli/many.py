"""Several jobs drawn at once, each by a program of its own, one bad job not stopping the rest."""

from __future__ import annotations

import contextlib
import io
import multiprocessing
import os
from collections.abc import Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from railsheet.cli.draw import Stocked, draw_job
from railsheet.cli.say import say
from railsheet.errors import BadInput
from railsheet.job.located import located

DRAWN, NOT_USED, BROKEN = 0, 2, 1


@dataclass(frozen=True)
class Outcome:
    """How one job went.

    Attributes:
        job: its file.
        code: DRAWN, NOT_USED (a mistake in the job: ``said`` is its message) or BROKEN (a fault of
            this program).
        said: what drawing it alone would print, or why it was not drawn.
    """

    job: Path
    code: int
    said: str


def draw_jobs(
    jobs: Sequence[Path], out: Path, *, solids: bool, which: str, stocked: Stocked
) -> int:
    """Draw each job into a folder of its own within ``out``, named for its file.

    Returns:
        0 where all were drawn, 2 where a job could not be used, 1 where the program itself failed.

    Raises:
        BadInput: two jobs would share a folder, or drops are asked for, which one job uses up
            before the next; nothing is drawn then.
    """
    if stocked.drops is not None:
        raise BadInput(
            "--drops", f"{len(jobs)} jobs", "", "one job at a time: each uses the drops on hand"
        )
    folders = [out / job.stem for job in jobs]
    for number, folder in enumerate(folders):
        if jobs[number].stem in ("", ".", ".."):
            raise BadInput(str(jobs[number]), "its name", "", "no name for a folder")
        for earlier, other in enumerate(folders[:number]):
            if folder.name.casefold() == other.name.casefold():
                raise BadInput(
                    str(jobs[number]),
                    "its name",
                    folder.name,
                    f"{jobs[earlier]} would be drawn into the same folder {other}",
                )
    outcomes: list[Outcome] = []
    # A new program for each job: what one leaves behind in a library reaches no other, so that
    # its files are those it would have alone.
    with ProcessPoolExecutor(
        max_workers=min(len(jobs), os.cpu_count() or 1),
        mp_context=multiprocessing.get_context("spawn"),
        max_tasks_per_child=1,
    ) as pool:
        waiting = [
            pool.submit(_draw, job, folder, solids, which, stocked)
            for job, folder in zip(jobs, folders, strict=True)
        ]
        for job, future in zip(jobs, waiting, strict=True):
            outcome = _outcome(job, future)
            outcomes.append(outcome)
            say(outcome.said, err=outcome.code != DRAWN)
    return _sum_up(outcomes, folders)


def _draw(job: Path, folder: Path, solids: bool, which: str, stocked: Stocked) -> Outcome:
    said = io.StringIO()
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(io.StringIO()):
            draw_job(job, folder, solids=solids, which=which, stocked=stocked)
    except BadInput as bad:
        return Outcome(job, NOT_USED, str(located(bad)))
    return Outcome(job, DRAWN, said.getvalue().rstrip())


def _outcome(job: Path, future: Future[Outcome]) -> Outcome:
    try:
        return future.result()
    except Exception as error:
        # One job's fault, even one that ends its program, is told and leaves the others be.
        return Outcome(job, BROKEN, f"{job}: not drawn: {type(error).__name__}: {error}")


def _sum_up(outcomes: Sequence[Outcome], folders: Sequence[Path]) -> int:
    say("")
    for outcome, folder in zip(outcomes, folders, strict=True):
        stops = sum(line.strip().startswith("STOP") for line in outcome.said.splitlines())
        settle = f", {stops} to settle before cutting" if stops else ""
        how = f"drawn in {folder}{settle}" if outcome.code == DRAWN else "not drawn"
        say(f"{outcome.job}: {how}")
    drawn = sum(outcome.code == DRAWN for outcome in outcomes)
    say(f"{drawn} of {len(outcomes)} jobs drawn.")
    codes = {outcome.code for outcome in outcomes}
    return BROKEN if BROKEN in codes else max(codes)
