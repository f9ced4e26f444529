"""`packyoke sheet`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.files import EXIT_FOUND, EXIT_OK, Shops, day_of, one_build, print_out

FORMATS = ("html", "text", "markdown")


@click.command()
@click.argument("build", metavar="BUILD")
@click.option("--for", "reader", type=click.Choice(("customer",)), required=True, help="Who reads it.")
@click.option("--format", "form", type=click.Choice(FORMATS), default="html", show_default=True, help="How to print.")
@click.option("--units", type=click.Choice(("metric", "us")), default="metric", show_default=True)
@click.option("--today", metavar="DATE", default=None, help="The day on the sheet (2027-05-14).")
@click.option("--shop", type=click.Path(dir_okay=False), help="The shop file to use.")
@click.option("--no-shop", is_flag=True, help="Use no shop file.")
@click.option("--output", type=click.Path(dir_okay=False), help="Write to a new file instead of printing.")
@click.option("--replace", is_flag=True, help="Let --output replace a file that exists.")
def sheet(
    build: str, reader: str, form: str, units: str, today: str | None, shop: str | None, no_shop: bool,
    output: str | None, replace: bool,
) -> None:  # fmt: skip
    """Write the one page that the customer takes home.

    The HTML prints on one page of A4 or US Letter. A build at stop or open gets no
    sheet, but the list of what to mend and to find out. Exit status: 0 a sheet, 1
    none, 2 wrong input.

    \b
    Example:
        packyoke sheet examples/skerry-long-tail.yaml --for customer \\
            --output skerry.html
    """
    from packyoke.report import sheet as printed
    from packyoke.running import sheet as running

    day = day_of(today)
    shops = Shops(shop, no_shop)
    model = one_build(build, shops, day)
    own = shops.for_build(build)
    try:
        made = running.customer_sheet(
            model, today=day, system=units, shop=own.name if own else "", contact=own.contact if own else ""
        )
    except running.NoSheet as none:
        click.echo(printed.no_sheet_text(none.report), nl=False)
        sys.exit(EXIT_FOUND)
    texts = {"html": printed.customer_html, "text": printed.customer_text, "markdown": printed.customer_markdown}
    print_out(texts[form](made), output, replace, [build, shop])
    sys.exit(EXIT_OK)
