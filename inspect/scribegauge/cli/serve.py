"""``scribegauge serve``: the bench page."""

from pathlib import Path

import click

from scribegauge.cli.intake import FILE
from scribegauge.cli.keeping import ledger_file, ledger_option
from scribegauge.cli.sheetchoice import folder_option, folder_or_usual


@click.command("serve")
@click.option(
    "--network", is_flag=True, help="Let phones in the workshop's network in, by a key each."
)
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8321, show_default=True, help="Of the page."
)
@click.option(
    "--host-name", metavar="NAME", help="A name of this computer by which the page is asked for."
)
@click.option("--certificate", type=FILE, metavar="FILE.pem", help="For https, with its key.")
@click.option("--private-key", type=FILE, metavar="FILE.pem", help="Of the certificate.")
@click.option("--layouts", type=FILE, metavar="FOLDER", help="Layout files to offer as exercises.")
@click.option(
    "--folder",
    type=FILE,
    metavar="FOLDER",
    help="Where photos and keys are kept; left out, with your other data.",
)
@click.option("--workers", type=click.IntRange(1, 64), help="Photos read at a time.")
@folder_option
@ledger_option
def command(
    network: bool,
    port: int,
    host_name: str | None,
    certificate: Path | None,
    private_key: Path | None,
    layouts: Path | None,
    folder: Path | None,
    workers: int | None,
    sheet_folder: Path | None,
    ledger: Path | None,
) -> None:
    """Serve a page for phones at the bench: photograph, look, mend, keep.

    Without --network only this computer can open it. The link that lets the teacher in is printed;
    the teacher makes one for each pupil. Ctrl-C ends it.

    Example: scribegauge serve --network
    """
    from scribegauge.batch.engines import cores
    from scribegauge.errors import UseError
    from scribegauge.serve.bench import Settings, usual_folder
    from scribegauge.serve.run import LOOPBACK, Listening, address_in_network, serve

    if (certificate is None) != (private_key is None):
        raise UseError(
            "certificate_alone",
            "A certificate and its private key belong together.",
            "Give both --certificate and --private-key, or neither.",
        )
    here = address_in_network() if network else LOOPBACK
    listening = Listening("0.0.0.0" if network else LOOPBACK, port, certificate, private_key)  # noqa: S104 - asked for
    hosts = {here, LOOPBACK, "localhost", *([host_name.lower()] if host_name else [])}
    settings = Settings(
        folder=folder or usual_folder(),
        ledger=ledger_file(ledger),
        sheet_folder=folder_or_usual(sheet_folder),
        layouts=layouts,
        hosts=tuple(sorted(hosts)),
        address=f"{listening.scheme}://{host_name or here}:{port}",
        lanes=workers or cores(),
    )
    serve(settings, listening)
