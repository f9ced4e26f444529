"""Why there is no sheet: what stops the build, and what has to be found out."""

from __future__ import annotations

from packyoke.answers.check.page import check_page, cure_text
from packyoke.answers.inherited import inherited, places_taken
from packyoke.page.page import FindingBlock, Level, Page, Table, Verdict, filled
from packyoke.verdict.report import Report


def no_sheet_page(report: Report, whom: str = "customer") -> Page:
    """The stops with what to do, and the list to find out: what the page of the check says of them."""
    page = check_page(report)
    level: Level = "stop" if report.verdict == "stop" else "open"
    return Page(
        title=f"{page.title}: no sheet for the {whom}",
        verdict=Verdict(level, level.upper(), f"{page.title}: no sheet for the {whom}"),
        lead=(*page.lead[:2], *filter(None, [cure_text(report)])),
        blocks=[
            *(
                block
                for block in page.blocks
                if (isinstance(block, FindingBlock) and block.level == "stop")
                or (isinstance(block, Table) and block.heading == "To find out")
            ),
            *filled(places_taken(inherited(report, places=True))),
        ],
        closing=(f"All of it: packyoke check {report.file}",),
    )
