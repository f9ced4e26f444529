"""A page in the form that was asked for."""

from __future__ import annotations

from packyoke.page.page import Page


def in_form(page: Page, form: str, *, colour: bool = False) -> str:
    """The page as text, Markdown or HTML; colour only where a terminal takes it."""
    # Imported where it is wanted: a screen of text needs no HTML.
    if form == "html":
        from packyoke.page.html import page_html

        return page_html(page)
    if form == "markdown":
        from packyoke.page.markdown import page_markdown

        return page_markdown(page)
    from packyoke.page.text import page_text

    return page_text(page, colour=colour)
