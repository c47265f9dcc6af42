"""The command line: what a person types, and what they read back."""

from __future__ import annotations

import datetime
import gc
import math
import sys
from pathlib import Path

import click

from railsheet import __version__
from railsheet.cli.say import say
from railsheet.errors import BadInput

# Exit codes: 0 done, 1 something is wrong with the tool itself or (check) a figure stands
# outside a limit, 2 bad input.
_BAD_INPUT = 2


class _Commands(click.Group):
    """Commands in the order of the work, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


def _a_number(_: click.Context, __: click.Parameter, value: float) -> float:
    # "nan" is a float to Python, and stands inside every range.
    if math.isnan(value):
        raise click.BadParameter("nan is not a number")
    return value


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 90},
    epilog="Start with 'railsheet new JOB.toml', fill in the readings, then draw.",
)
@click.version_option(__version__, prog_name="railsheet")
def cli() -> None:
    """Tape measurements of a stair in, shop sheets for its guard rail out.

    You write what the tape read into a job file. Railsheet lays the rail over the noses, finds
    where the free post may stand, and draws what to cut: a PDF for the saw, a DXF for a
    fabricator, a cut list, and every figure unrounded.

    Its figures are geometry. Whether a guard is strong, fastened and allowed is for the local
    code, the authority having jurisdiction and a licensed engineer.
    """


@cli.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--units",
    type=click.Choice(["ft-in", "mm"]),
    default="ft-in",
    show_default=True,
    help="What a bare number in the file means.",
)
@click.option(
    "--risers",
    type=click.IntRange(2, 60),
    default=6,
    show_default=True,
    help="How many risers the flight has, the step up onto the deck included.",
)
def new(job: Path, units: str, risers: int) -> None:
    """Start a job file, with a remark on how to take each reading.

    JOB is the file to write; one that is there already is left alone.
    """
    from railsheet.job.template import new_job_text
    from railsheet.units.length import Unit

    text = new_job_text(Unit(units), risers, datetime.date.today())
    try:
        with job.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise BadInput(str(job), "the file", "", "is there already; name a new one") from None
    except OSError as error:
        raise BadInput(str(job), "the file", "", f"cannot be written: {error.strerror}") from None
    say(f"{job}: {risers} risers and {risers - 1} runs to fill in, each with its remark.")
    say(f"Then: railsheet draw {job} --out {job.stem}")


@cli.command()
@click.argument("jobs", type=click.Path(path_type=Path), nargs=-1, required=True)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    metavar="DIR",
    help="Folder for the sheets; made if it is not there.",
)
@click.option(
    "--set",
    "which",
    type=click.Choice(["all", "saw", "fabricator", "inspection"]),
    default="all",
    show_default=True,
    help="Which sheets: for the saw, a fabricator, an inspection request, or all of them.",
)
@click.option(
    "--solids",
    is_flag=True,
    help="Write solids as STEP as well: each run, each distinct piece, a site whole; and show the "
    "job in view on the first sheet.",
)
@click.option(
    "--drops",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="List of the drops on hand; they are cut first.",
)
@click.option(
    "--keep-drops",
    is_flag=True,
    help="Rewrite that list to what is on hand once all is cut; the old one is kept as .bak.",
)
@click.option(
    "--stock-effort",
    type=click.FloatRange(min=0.01, max=1000.0),
    callback=_a_number,
    default=1.0,
    show_default=True,
    metavar="TIMES",
    help="How hard a better way to cut the bars is sought: 1 takes some ten seconds at the most, "
    "10 ten times as long. It is counted, not timed, so that any machine plans alike.",
)
@click.option(
    "--labels",
    type=click.Choice(["letter-3x10", "letter-2x5", "a4-3x7", "a4-3x8"]),
    help="Label paper: its size, columns by rows.  [default: goes with the job's paper]",
)
@click.option(
    "--since",
    type=click.Path(path_type=Path),
    metavar="SET",
    help="An earlier set's folder: what changed since then is clouded, and told.",
)
@click.pass_context
def draw(
    context: click.Context,
    jobs: tuple[Path, ...],
    out: Path,
    which: str,
    solids: bool,
    drops: Path | None,
    keep_drops: bool,
    stock_effort: float,
    labels: str | None,
    since: Path | None,
) -> None:
    """Draw the sheets of a job, or of several.

    Reads JOBS (a TOML file each) and writes into DIR: sheets.pdf, one DXF for each run and one
    for the saw sheet, cuts.csv, parts.csv with everything to buy, labels.pdf, figures.json with
    every figure unrounded, and set.sha256 with the checksum of each. All of them, or, when
    something in the job cannot be used, none; files of an earlier set that this one lacks are
    removed unless they were changed.

    Where the job names a code, what was found is marked and never keeps a sheet from being drawn.
    The inspection set has a cover, plan, elevation with the greatest spheres, the findings clause
    by clause and the load statement (demand only).

    Several jobs are drawn at once, each into a folder within DIR named for its file. One that
    cannot be used does not stop the others.

    Exits with 0 where all were drawn, 2 where a job could not be used, 1 where the program itself
    failed.

    What needs attention is printed here and on the first sheet of its run. A line that begins
    with STOP must be settled before anything is cut.
    """
    # A job is read before what draws it is loaded, so that a mistake in it is told at once.
    from railsheet.job.load import load_job

    job = load_job(jobs[0]) if len(jobs) == 1 else None
    from railsheet.cli.draw import Stocked, draw_read

    stocked = Stocked(drops, keep_drops, stock_effort, labels)
    if job is not None:
        draw_read(job, out, solids=solids, which=which, stocked=stocked, since=since)
        return
    from railsheet.cli.many import draw_jobs

    if since is not None:
        raise BadInput("--since", f"{len(jobs)} jobs", "", "one job at a time: the set is of one")
    context.exit(draw_jobs(jobs, out, solids=solids, which=which, stocked=stocked))


@cli.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.pass_context
def check(context: click.Context, job: Path) -> None:
    """Check a job against its code, worst first.

    Prints what was checked, where, the figure, the limit, the margin and the clause. What could
    not be checked says which reading or fact is missing. The job names its code as job > code: a
    profile that is shipped, or a file beside it that extends one with local amendments.

    Exits with 0 where nothing stands outside a limit, 1 where something does, 2 for bad input.
    """
    from railsheet.job.load import load_job

    read = load_job(job)
    from railsheet.cli.check import check_job

    context.exit(check_job(read))


@cli.command()
@click.argument("before", type=click.Path(path_type=Path))
@click.argument("after", type=click.Path(path_type=Path))
@click.option("--all", "everything", is_flag=True, help="Name every figure that changed.")
@click.pass_context
def compare(context: click.Context, before: Path, after: Path, everything: bool) -> None:
    """Say in words what changed from one issue of a job to the next.

    BEFORE and AFTER are each a job file, a figures.json or the folder it is in; or a run's DXF,
    of which the figures that its dimensions measure are compared.

    Exits with 0 where nothing changed, 1 where something did, 2 for bad input.
    """
    from railsheet.cli.compare import compare_files

    context.exit(compare_files(before, after, everything=everything))


@cli.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--sheets",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder that draw wrote: its figures.json is held. Else what the job gives now.",
)
@click.option("--all", "every", is_flag=True, help="Print every figure, and those not derived.")
@click.pass_context
def prove(context: click.Context, job: Path, sheets: Path | None, every: bool) -> None:
    """Prove a job by its solids.

    Raises JOB in space from where its posts and rails are set out, measures the solids, and
    prints each figure from the solid beside the one on the sheets, worst first. A figure off by
    more than 0.001 in fails; so do two parts in one place, and a part that does not touch what
    must carry it.

    Exits with 0 where all holds, 1 where something fails, 2 for bad input.
    """
    from railsheet.cli.prove import prove_job

    context.exit(prove_job(job, sheets, every=every))


@cli.command()
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="PDF",
    help="The PDF to write.",
)
@click.option(
    "--risers",
    type=click.IntRange(2, 60),
    default=6,
    show_default=True,
    help="How many risers the flight has, the step up onto the deck included.",
)
@click.option("--kit", is_flag=True, help="The form of a kit file instead of a flight's.")
@click.option(
    "--fills",
    type=click.Choice(["punched", "drilled", "cut", "panel", "cable", "solid"]),
    help="With --kit: what fills a bay, as the kit file's [infill] has it.  [default: punched]",
)
@click.option(
    "--ends",
    type=click.Choice(["bracket", "butt", "coped", "housed", "over post"]),
    help="With --kit: how a rail ends at a post.  [default: bracket]",
)
@click.option(
    "--handrail", is_flag=True, help="The form of a file of handrail parts instead of a flight's."
)
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    default="letter",
    show_default=True,
    help="What it is printed on.",
)
def form(
    out: Path,
    risers: int,
    kit: bool,
    fills: str | None,
    ends: str | None,
    handrail: bool,
    paper: str,
) -> None:
    """Print a form to measure with: its letters are the keys of the job file.

    With --kit, the form of a rail system that has no kit file yet: each dimension drawn on its
    part, with the key it belongs to. With --handrail, the same of handrail parts.
    """
    from railsheet.cli.form import HandrailAsked, KitAsked, print_form

    if kit and handrail:
        raise click.UsageError("--kit and --handrail are two forms: ask for one at a time")
    if not kit and (fills or ends):
        raise click.UsageError("--fills and --ends are of a kit's form: add --kit")
    if kit:
        print_form(out, KitAsked(fills or "punched", ends or "bracket"), paper)
    else:
        print_form(out, HandrailAsked() if handrail else risers, paper)


@cli.command()
@click.option(
    "--rake",
    type=click.FloatRange(-60, 60),
    required=True,
    help="Degrees the rail climbs toward the end that is cut; below zero where it falls.",
)
@click.option(
    "--plan",
    type=click.FloatRange(-80, 80),
    default=0.0,
    show_default=True,
    help="Degrees a plumb face is turned in plan from square across the rail, to the left.",
)
@click.option(
    "--turn",
    type=click.FloatRange(-170, 170),
    help="Instead of a face: degrees to the left that a second rail turns in plan.",
)
@click.option(
    "--onto",
    type=click.FloatRange(-60, 60),
    default=0.0,
    show_default=True,
    help="Degrees the second rail climbs away from the joint.",
)
def mitre(rake: float, plan: float, turn: float | None, onto: float) -> None:
    """Say how to set a compound saw for a rail's end.

    The rail lies along the fence, the end to be cut at the right of one facing the fence. For
    each way it can lie on the table: mitre, bevel, and where the end's long point comes to be.
    """
    from railsheet.cli.mitre import say_face, say_rail

    if turn is None:
        say_face(rake, plan)
    else:
        say_rail(rake, turn, onto)


def main() -> None:
    """Run the command line; a user's mistake becomes one line and exit code 2."""
    # What a drawing holds it holds to the end: looking through it for litter finds little, and a
    # set of one flight is done before the first look.
    gc.set_threshold(1_000_000, 20, 20)
    try:
        sys.exit(cli.main(standalone_mode=False) or 0)
    except BadInput as bad:
        from railsheet.job.located import located

        say(str(located(bad)), err=True)
        sys.exit(_BAD_INPUT)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except click.Abort:
        say("stopped", err=True)
        sys.exit(130)
