"""``scribegauge schema``: print what a reading file holds, for scripts."""

import click


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of the reading file.

    Example: scribegauge schema > reading.schema.json
    """
    from scribegauge.report.schema import schema_text

    click.echo(schema_text(), nl=False)
