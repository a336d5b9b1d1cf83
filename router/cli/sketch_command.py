"""The command `sketch`: the page in the browser, kept in plain files of one folder."""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import PATH
from router.cli.terminal import Refusal

if TYPE_CHECKING:
    from router.page import Address, Session

MOST_BYTES = 2_000_000
_LAN_WORDS = """\
For a phone in the same network:
  {url}
{picture}
What goes to the phone goes in clear text: whoever else is in that network could read it, and this address
with it. Use a network that you trust. The address is good until this ends."""


@click.command()
@click.argument("folder", type=PATH, default=".", metavar="[FOLDER]")
@click.option(
    "--profile", metavar="NAME|FILE", help="Begin with a copy of this one, from the library or a file."
)
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Where it listens; 0 takes any.")
@click.option("--no-open", "stays_closed", is_flag=True, help="Open no browser.")
@click.option("--lan", "is_for_phones", is_flag=True, help="Let a phone in the same network in too.")
def sketch(folder: Path, profile: str | None, port: int, stays_closed: bool, is_for_phones: bool) -> None:
    """Draw a vehicle and place a job in the browser; everything is kept in FOLDER, by default this one.

    The files are profile.yaml, job.yaml and sketch.journal, which has every step for undo. The first line on
    stdout is the address. No network is needed. Ctrl-C ends it; nothing is lost.

    \b
    Examples:
      underbody sketch my-van
      underbody sketch my-van --profile dunlin-lwb
      underbody sketch my-van --lan
    """
    from router.page import (
        AddressError,
        FolderError,
        RefusedError,
        Session,
        lan_ip,
        open_address,
        page_server,
        serve_page,
    )

    try:
        copied = _copied(profile) if profile else None
        session = Session(folder)
        _begin_with(session, copied)
        addresses = [open_address("127.0.0.1", port)]
        if is_for_phones:
            addresses.append(open_address(lan_ip(), port))
    except (FolderError, AddressError, RefusedError) as error:
        raise Refusal(str(error)) from None
    _tell(addresses)
    if session.said:
        click.echo(f"underbody: {session.said}", err=True)
    if not stays_closed:
        _open_browser(addresses[0].url)
    serve_page(page_server(session), addresses)
    session.close()
    click.echo("underbody: ended; everything is in " + str(session.files.folder), err=True)


def _copied(profile: str) -> str:
    """Return what a profile holds, byte for byte."""
    from router.page import decoded
    from router.reading import library_folder, plain_bytes

    shipped = {path.stem: path for path in library_folder().glob("*.yaml")}
    path = shipped.get(profile, Path(profile))
    try:
        return decoded(plain_bytes(path, MOST_BYTES))
    except (OSError, ValueError) as error:
        why, known = getattr(error, "strerror", error), ", ".join(sorted(shipped))
        raise Refusal(f'cannot begin with "{profile}": {why}; name a file, or one of {known}') from None


def _begin_with(session: Session, copied: str | None) -> None:
    """Put a copy of a profile where there is none yet."""
    if copied is None:
        return
    if session.texts["profile"] is not None:
        session.close()
        raise Refusal(f"there is a profile.yaml in {session.files.folder} already; leave out --profile")
    session.edit(session.revision, None, [{"file": "profile", "op": "text", "value": copied}])


def _tell(addresses: list[Address]) -> None:
    from router.page import qr_lines

    click.echo(addresses[0].url)
    for each in addresses[1:]:
        click.echo(_LAN_WORDS.format(url=each.url, picture=qr_lines(each.url)))
    sys.stdout.flush()


def _open_browser(url: str) -> None:
    """Open a browser where there is a screen for one; one inside the terminal would take it over."""
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        return
    import webbrowser

    threading.Thread(target=webbrowser.open, args=(url,), daemon=True).start()
