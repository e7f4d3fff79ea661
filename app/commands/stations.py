"""What `tablebook serve` is told of further stations, and what it says of them."""

from __future__ import annotations

import re
from ipaddress import ip_address
from typing import TYPE_CHECKING

import typer

from app.commands.console import Chosen, out
from app.rules.faults import CannotListen

if TYPE_CHECKING:
    from app.server import Stations

# Beside the laptop's own 8407.
STATIONS_PORT = 8408

_PLACE = re.compile(
    r"(?:\[(?P<six>[0-9a-fA-F:.]+)\]|(?P<other>[^\[\]:/\s]+))(?::(?P<port>\d{1,5}))?", re.ASCII
)


def refuse_other_hosts(host: str) -> None:
    """Without TLS names and PINs would go through the hall in clear."""
    if not _is_loopback(host):
        raise CannotListen(
            why=f"--host is for this laptop's own browser (127.0.0.1). To let other devices in, "
            f"over an encrypted connection: tablebook serve --stations {host}"
        )


def stations_for(text: str) -> Stations:
    """What `--stations` names, with the certificate made for it; tells what to open where."""
    from app.server import Place, stations_at  # the web server loads slowly

    address, port = _read(text)
    stations = stations_at(Chosen.url, Place(address, port))
    out.print(f"Further stations: {stations.listening.url}", highlight=False)
    out.print("SHA-256 of its certificate, to be compared at each station:", highlight=False)
    out.print(f"  {stations.listening.fingerprint}", highlight=False, soft_wrap=True)
    return stations


def check_place(text: str) -> None:
    """CannotListen where nothing can be served there now."""
    from app.server import listen  # the web server loads slowly

    listen(*_read(text)).close()


def _read(text: str) -> tuple[str, int]:
    found = _PLACE.fullmatch(text)
    port = int(found["port"] or STATIONS_PORT) if found else 0
    if not found or not 0 < port < 2**16:
        raise typer.BadParameter(
            f"{text} is not written ADDRESS or ADDRESS:PORT", param_hint="--stations"
        )
    address = found["six"] or found["other"].lower()
    if _is_unspecified(address):
        raise typer.BadParameter(
            "name one address of this laptop: the certificate is made for it",
            param_hint="--stations",
        )
    return address, port


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _is_unspecified(address: str) -> bool:
    try:
        return ip_address(address).is_unspecified
    except ValueError:
        return False
