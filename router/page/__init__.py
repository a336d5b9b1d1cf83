"""The page in the browser: what its server asks of the planner, and how it answers.

Each name is imported when it is first asked for: the first page is there before anything slow is read in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.page.addresses import Address, AddressError, lan_ip, open_address
    from router.page.edits import RefusedError, decoded
    from router.page.folder_files import FolderError
    from router.page.page_workers import page_server
    from router.page.qr_pictures import qr_lines
    from router.page.serving import serve_page
    from router.page.session import Session

__all__ = [
    "Address",
    "AddressError",
    "FolderError",
    "RefusedError",
    "Session",
    "decoded",
    "lan_ip",
    "open_address",
    "page_server",
    "qr_lines",
    "serve_page",
]

_HOMES = {
    "addresses": ("Address", "AddressError", "lan_ip", "open_address"),
    "edits": ("RefusedError", "decoded"),
    "folder_files": ("FolderError",),
    "page_workers": ("page_server",),
    "qr_pictures": ("qr_lines",),
    "serving": ("serve_page",),
    "session": ("Session",),
}

__getattr__ = lazy_names(__name__, _HOMES)
