"""`bikewright words`: the catalogue of quantities and states."""

import click

from bikewright.interfaces.cli.asking import JSON, options, print_json, print_lines
from bikewright.reports.as_json import catalogue_json
from bikewright.reports.glossary import glossary_lines


@click.command()
@click.argument("word", default="")
@options(JSON)
def words(word: str, as_json: bool) -> None:
    """List every quantity and state with its meaning.

    WORD narrows the list to keys, labels and meanings that hold it.
    """
    if as_json:
        print_json(catalogue_json())
    else:
        print_lines(glossary_lines(word))
