"""What every sheet of a job has in common: paper, title block, caution."""

from __future__ import annotations

from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.job.model import Job
from railsheet.job.model import Paper as JobPaper
from railsheet.sheets.paper import Paper, Rect, add_sheet
from railsheet.sheets.title import Shown, TitleBlock, room_for, title_block
from railsheet.units.length import Unit

CAUTION = (
    "Geometry only. Strength, anchorage and openings are for the local code, the authority having "
    "jurisdiction and a licensed engineer. Check each figure on site before cutting; guard the "
    "drop and the saw while you work."
)
NO_CODE = "nothing: no code is named"


@dataclass(frozen=True)
class SheetFrame:
    """The job's frame round every sheet.

    Attributes:
        of: how many sheets the set has.
        code: the code, as the title block says it.
        amended: what was amended in it, a sentence before the caution; empty where nothing was.
    """

    job: Job
    of: int
    code: str = NO_CODE
    amended: str = ""

    @property
    def caution(self) -> str:
        """The line across the foot of every sheet."""
        return f"{self.amended} {CAUTION}" if self.amended else CAUTION

    def paper(self, portrait: bool) -> Paper:
        """The job's paper as it is turned."""
        size: JobPaper = self.job.paper
        names = {"letter": "Letter", "tabloid": "Tabloid", "a4": "A4", "a3": "A3"}
        name = names[size.label]
        if portrait:
            return Paper(name, size.short_mm, size.long_mm)
        return Paper(name, size.long_mm, size.short_mm)

    def room(self, portrait: bool) -> Rect:
        """The space within the frame."""
        return room_for(self.paper(portrait), self.caution)

    def start(
        self,
        doc: Drawing,
        name: str,
        title: str,
        number: int,
        scale: Shown,
        portrait: bool = False,
    ) -> tuple[Paperspace, Paper]:
        """A new sheet in the document, with its title block."""
        paper = self.paper(portrait)
        layout = add_sheet(doc, name, paper)
        title_block(layout, paper, self._block(title, number, scale))
        return layout, paper

    def _block(self, title: str, number: int, scale: Shown) -> TitleBlock:
        job = self.job
        inches = job.tape.unit is Unit.INCH
        units = "Inches" if inches else "Millimetres"
        return TitleBlock(
            job=job.name,
            place=job.place,
            measured_by=job.measured_by,
            date=job.date.isoformat(),
            title=title,
            number=number,
            of=self.of,
            scale=scale,
            rounding=f"{units}, each rounded once to {job.tape.step_text}",
            kit=job.kit.name,
            code=self.code,
            caution=self.caution,
            revision=job.revision,
        )
