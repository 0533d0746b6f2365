"""Tags from the command line: given to pieces, listed, and printed as sheets of labels."""

from collections.abc import Sequence

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell, write_out, write_out_bytes
from consumables.items.tags import ContainerLabel, Tag

TAG_HEADINGS = ("warning", "category", "after the client", "use by", "code or lot", "name")
CONTAINER_HEADINGS = ("words", "contents", "dilution", "mixed", "change by", "container")


@click.command(cls=DeskCommand, example="consumables tag cuticle-nipper 2 --who MR")
@click.argument("item")
@click.argument("n", type=click.IntRange(1), default=1)
@click.option("--client", default="", metavar="CODE", help="Her own kit, where the book allows it.")
@json_option
def tag(item: str, n: int, client: str, as_json: bool) -> None:
    """Take N new units of a kept ITEM off the shelf and give each a tag; wash them first."""
    from consumables.desk import tagging

    with signing_desk() as desk:
        tell(tagging.tag(desk, item, n, client), as_json)


@click.command(
    cls=DeskCommand,
    example="consumables tags buffer-block cuticle-nipper\nconsumables tags --csv tags.csv\n"
    "consumables tags cuticle-nipper --pdf tags.pdf\n"
    "consumables tags --pdf tags.pdf --paper letter --skip 6\n"
    "consumables tags --containers --pdf jars.pdf --grid a4-99.1x67.7",
)
@click.argument("items", nargs=-1, metavar="[ITEM]...")
@click.option("--containers", is_flag=True, help="What jars and boxes say; ITEM: decanted too.")
@click.option("--pdf", "pdf_path", metavar="FILE|-", help="Sheets of labels to print.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="The paper; A4 unless said.")
@click.option("--grid", metavar="NAME", default="", help="How the labels lie on the sheet.")
@click.option("--grids", metavar="FILE", default="", help="Your own label grids (TOML).")
@click.option("--skip", metavar="N", type=int, default=0, help="Labels gone from the first sheet.")
@click.option("--outline", is_flag=True, help="Draw the edges, to try the grid on plain paper.")
@click.option("--font", metavar="FILE", default="", help="Your own letters (TrueType).")
@click.option("--csv", "csv_path", metavar="FILE|-", help="The same as a list to print from.")
@json_option
def tags(
    items: tuple[str, ...],
    containers: bool,
    pdf_path: str | None,
    paper: str | None,
    grid: str,
    grids: str,
    skip: int,
    outline: bool,
    font: str,
    csv_path: str | None,
    as_json: bool,
) -> None:
    """What to write on the things themselves: one client only, or washed and how, and by when."""
    if not pdf_path and (paper or grid or grids or skip or outline or font):
        raise click.UsageError("The paper, the grid and the letters go with --pdf FILE.")
    found = _labels(items, containers)
    if as_json:
        print_json(**{"containers" if containers else "tags": found})
    elif pdf_path:
        from consumables.paperwork.fonts import letters
        from consumables.paperwork.label_grids import find_grid
        from consumables.paperwork.tag_sheets import tag_sheet

        sheet = find_grid(paper or "", grid, grids)
        write_out_bytes(tag_sheet(found, sheet, letters(font), skip, outline), pdf_path)
        note(f"{len(found)} labels for {sheet.name}. Print at 100 %, not fitted to the page.")
    else:
        _list(found, CONTAINER_HEADINGS if containers else TAG_HEADINGS, csv_path)


def _labels(items: Sequence[str], containers: bool) -> Sequence[Tag | ContainerLabel]:
    from consumables.desk import tagging

    with at_desk() as desk:
        if not containers:
            return tagging.tags(desk, items)
        if not desk.book.parameters.container_labels:
            note(f"{desk.book.title}, as seen, asks for no words on containers by name.")
        return tagging.container_labels(desk, items)


def _list(
    found: Sequence[Tag | ContainerLabel], headings: Sequence[str], csv_path: str | None
) -> None:
    rows = [_row(one) for one in found]
    if csv_path:
        from consumables.paperwork.order_paper import csv_text

        write_out(csv_text(headings, rows), csv_path)
        return
    print_table(headings, rows)
    note("DO NOT RE-USE is the mark of ISO 15223-1, 5.4.2. The product label stands above a tag.")


def _row(one: Tag | ContainerLabel) -> tuple[str, ...]:
    if isinstance(one, ContainerLabel):
        return (one.words, one.contents, one.dilution, one.mixed, one.change_by, one.container)
    return (
        one.warning,
        one.category,
        one.after_the_client,
        one.use_by,
        one.code or one.lot,
        one.name,
    )


COMMANDS = (tag, tags)
