"""Verb `formula`: the formula shelf."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING

import click

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.cli.verb import FAULT, Verb, exit_code, to_json
from pulsewright.errors import PulsewrightError

if TYPE_CHECKING:
    from pulsewright.workbench.formulas import FormulaCard, FormulaResult


@click.command("formula", cls=Verb, short_help="Any single formula with its equation, validity and source.")
@click.argument("name", metavar="list|NAME")
@click.argument("pairs", nargs=-1, metavar='[KEY="VALUE UNIT"]...')
@click.option("--search", metavar="WORDS", help="With list: only formulas in which every one of these words occurs.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command_formula(ctx: click.Context, name: str, pairs: tuple[str, ...], search: str | None, as_json: bool) -> None:
    """List the formulas, show one, or evaluate it.

    \b
    pulsewright formula list --search lamp
    pulsewright formula stored_energy
    pulsewright formula stored_energy capacitance="4 uF" voltage="9.5 kV"

    NAME alone shows what it needs, its equation, what it is valid for, and its source.
    """  # noqa: D301  the backslash is click's mark for lines to keep
    if name == "list":
        if pairs:
            raise click.UsageError(f"list takes no {pairs[0]!r}; search with --search.")
        show_list(search, as_json)
        return
    if search is not None:
        raise click.UsageError("--search goes with list.")
    if pairs:
        ctx.exit(show_result(name, arguments(pairs), as_json))
    show_card(name, as_json)


def arguments(pairs: Iterable[str]) -> dict[str, str]:
    """KEY="VALUE UNIT" words as a mapping."""
    found: dict[str, str] = {}
    for pair in pairs:
        key, equals, value = pair.partition("=")
        key, value = key.strip(), value.strip()
        if not equals or not key or not value:
            raise click.UsageError(f'{pair!r}: write KEY="VALUE UNIT", for instance voltage="9.5 kV".')
        if key in found:
            raise click.UsageError(f"{key}: given twice. Give it once.")
        found[key] = value
    return found


def show_list(search: str | None, as_json: bool) -> None:
    """Print the formulas, a group for each part of the laser."""
    from pulsewright.workbench.formulas import list_formulas

    cards = list_formulas(search)
    if as_json:
        click.echo(to_json({"search": search or "", "formulas": [card.as_dict() for card in cards]}))
        return
    columns = (Column("name"), Column("what it gives", flexible=True))
    for room, group in groupby(sorted(cards, key=lambda card: (part(card), card.name)), key=part):
        click.echo(text.heading(room))
        rows = [(card.name, card.title) for card in group]
        click.echo("\n".join(text.table(columns, rows).splitlines()[1:]))
    found = text.counted(len(cards), "formula")
    click.echo(f"\n{found}{f' with {search}' if search else ''}. Show one: pulsewright formula NAME")


def part(card: FormulaCard) -> str:
    """The part of the laser that a formula is about."""
    return card.module.split(".")[2].replace("_", " ")


def show_card(name: str, as_json: bool) -> None:
    """Print what a formula needs and what stands behind it."""
    from pulsewright.errors import Finding
    from pulsewright.workbench.formulas import find_formula

    card = find_formula(name)
    if isinstance(card, Finding):
        raise PulsewrightError(card)
    click.echo(to_json(card.as_dict()) if as_json else card_page(card))


def card_page(card: FormulaCard) -> str:
    """A card in words."""
    needs = [(p.name, unit(p.unit, p.choices), p.default or "", p.words) for p in card.parameters]
    gives = [(r.name, unit(r.unit, ()), "", r.words) for r in card.results]
    columns = (Column("takes"), Column("unit"), Column("default"), Column("", flexible=True))
    results = (Column("gives"), Column("unit"), Column(""), Column("", flexible=True))
    parts = [
        text.strong(card.name),
        text.wrap(card.title),
        "",
        text.table(columns, needs),
        "",
        text.table(results, gives),
    ]
    parts += ["", background(card), "", text.wrap(f"pulsewright formula {card.spelling}", first="Ask: ", rest="     ")]
    return "\n".join(parts)


def unit(words: str, choices: tuple[str, ...]) -> str:
    """A unit for the table; blank for a plain number and for a choice."""
    return "" if words == "-" or choices else words


def background(card: FormulaCard) -> str:
    """Equation, validity and source."""
    rows = (
        ("Equation", card.equation),
        ("Valid", card.valid),
        ("Not covered", card.not_covered),
        ("Source", card.source),
    )
    return "\n".join(text.wrap(words, first=f"{label + ':':<13}") for label, words in rows if words)


def show_result(name: str, given: dict[str, str], as_json: bool) -> int:
    """Evaluate and print; returns the exit code."""
    from pulsewright.workbench.formulas import evaluate

    result = evaluate(name, given)
    if as_json:
        click.echo(to_json(result.as_dict()))
    elif not result.ok:
        raise PulsewrightError(*result.findings)
    else:
        click.echo(result_page(result))
    return exit_code(result.findings) if result.ok else FAULT


def result_page(result: FormulaResult) -> str:
    """A result in words."""
    label = max(len(name) for name in [*(row.name for row in result.inputs), *(row.name for row in result.results)])
    inputs = [f"  {row.name:<{label}}  {row.text}" for row in result.inputs]
    outputs = [text.strong(f"  {row.name:<{label}}  {row.text}") for row in result.results]
    parts = [result.name, *inputs, "gives", *outputs]
    if result.findings:
        parts += ["", text.findings(result.findings)]
    if result.card is not None:
        parts += ["", background(result.card)]
    return "\n".join(parts)
