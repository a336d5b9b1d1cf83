"""Where the page is asked for: on this machine alone, or by a phone in its network too."""

from __future__ import annotations

import secrets
import socket
from dataclasses import dataclass

HERE = "127.0.0.1"


class AddressError(Exception):
    """No address can be had; one line that says why."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where a page is asked for, on one socket, with a token of its own."""

    socket: socket.socket
    host: str
    token: str

    @property
    def url(self) -> str:
        """Return what a browser opens."""
        return f"http://{self.host}/?token={self.token}"


def open_address(ip: str, port: int) -> Address:
    """Return an address that is listened at; port 0 takes any."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((ip, port))
        listening.listen(128)
    except (OSError, OverflowError) as error:
        listening.close()
        words = getattr(error, "strerror", None) or error
        raise AddressError(
            f"cannot listen at {ip}:{port}: {words}; take another --port, or 0 for any"
        ) from None
    return Address(listening, f"{ip}:{listening.getsockname()[1]}", secrets.token_urlsafe(24))


def lan_ip() -> str:
    """Return this machine's address in the network that it is in; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))  # TEST-NET-1 of RFC 5737: an address that nobody has
            ip = str(asking.getsockname()[0])
        except OSError:
            ip = ""
    if not ip or ip.startswith("127.") or ip == "0.0.0.0":
        raise AddressError("this machine is in no network that a phone could be in; leave out --lan")
    return ip
