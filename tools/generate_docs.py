"""Write the generated pages: the words, the commands, the sources. ``--check`` only says what is stale.

The catalogue, the commands' own help and the bibliography are the truth; these pages are read where no
command is at hand. A test runs the check.
"""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.main import cli
from bikewright.quantities import CATALOGUE, FAMILIES, STATES
from bikewright.reports.wording import BLANK, ShownUnits, felt_step_text
from bikewright.sources import SOURCES
from bikewright.units import UNITS

REFERENCE = Path(__file__).resolve().parent.parent / "docs" / "reference"
MADE = "<!-- Written by `make docs`; change its source, not this page. -->"


def words_page() -> str:
    """Every quantity and state with unit, felt step and meaning."""
    lines = [
        "# Words",
        MADE,
        "",
        "Every quantity that is reported, declared once in `bikewright.quantities`. An address is `key`, `key@state`",
        "for a quantity of a state, `key/pin` for one of a pin. Felt steps, the smallest change that an experienced",
        "rider notices, are common practice with no source; each line of a brief may override its own.",
        "",
    ]
    for family, heading in FAMILIES.items():
        lines += [
            f"## {heading}",
            "",
            "| key | label | unit | felt from | meaning | theory |",
            "|---|---|---|---|---|---|",
        ]
        for quantity in CATALOGUE.values():
            if quantity.family == family:
                scope = {"build": "", "state": "@state", "travel": ", a curve", "fork": ", a curve"}[quantity.scope]
                unit = UNITS[quantity.unit].symbol if quantity.unit else "–"
                theory = f"[{quantity.theory}](../theory/{quantity.theory}.md)"
                lines.append(
                    f"| `{quantity.key}`{scope} | {quantity.label} | {unit} | {_felt(quantity.key)} "
                    f"| {quantity.meaning} | {theory} |"
                )
        lines.append("")
    lines += ["## states", "", "| state | meaning |", "|---|---|"]
    lines += [f"| `{state}` | {meaning} |" for state, meaning in STATES.items()]
    return "\n".join(lines) + "\n"


def _felt(key: str) -> str:
    quantity = CATALOGUE[key]
    return BLANK if quantity.felt_step is None else felt_step_text(quantity, quantity.felt_step, ShownUnits())


def commands_page() -> str:
    """The help of every command, as it is printed."""
    lines = ["# Commands", MADE, "", "```text", _help(cli, "bikewright"), "```", ""]
    context = click.Context(cli)
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        if command is not None:
            lines += [f"## {name}", "", "```text", _help(command, f"bikewright {name}"), "```", ""]
    return "\n".join(lines)


def _help(command: click.Command, name: str) -> str:
    names = cli.context_settings["help_option_names"]  # as a command has them when it is really called
    context = click.Context(command, info_name=name, terminal_width=100, max_content_width=100, help_option_names=names)
    return "\n".join(line.rstrip() for line in command.get_help(context).splitlines())


def sources_page() -> str:
    """The bibliography."""
    lines = [
        "# Sources",
        MADE,
        "",
        "What formulas, tables and checks rest on. A citation marked *from memory* was written without the page at",
        "hand: check it against the book before you rely on it.",
        "",
        "| key | source |",
        "|---|---|",
    ]
    lines += [f"| `{source.key}` | {source} |" for source in SOURCES.values()]
    return "\n".join(lines) + "\n"


def pages() -> dict[Path, str]:
    """Every generated page and its text."""
    return {
        REFERENCE / "words.md": words_page(),
        REFERENCE / "commands.md": commands_page(),
        REFERENCE / "sources.md": sources_page(),
    }


def stale() -> list[Path]:
    """Pages that are not what they would be if they were written now."""
    return [page for page, text in pages().items() if not page.exists() or page.read_text(encoding="utf-8") != text]


def main() -> None:
    """Write all pages, or with ``--check`` list the stale ones and fail."""
    if "--check" in sys.argv:
        found = stale()
        for page in found:
            print(f"{page.name} is stale; run `make docs`")
        sys.exit(1 if found else 0)
    for page, text in pages().items():
        page.parent.mkdir(parents=True, exist_ok=True)
        page.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
