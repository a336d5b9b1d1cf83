"""The page of a session with all that answers it: workers in processes of their own, and measuring."""

from __future__ import annotations

from router.page.measured import Measured
from router.page.server import PageServer
from router.page.session import Session
from router.page.workers import Workers


def page_server(session: Session) -> PageServer:
    """Return the page's server for a folder that is open."""
    folder = session.files.folder
    return PageServer(session, Workers(folder), Measured(folder))
