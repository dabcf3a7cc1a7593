"""Serving pages and API with granian."""

import ipaddress
import socket

from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.utils import OperationalError
from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels

from hangar.failures import CommandFailed


def check_address(host: str, port: int) -> None:
    """Raise CommandFailed when the address cannot be listened on."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise CommandFailed(
                f"cannot listen on {host} port {port} ({error.strerror}); "
                "choose another with --port or --host."
            ) from error


def check_migrated() -> None:
    """Raise CommandFailed when the database cannot be reached or has another layout."""
    try:
        executor = MigrationExecutor(connection)
    except OperationalError as error:
        raise CommandFailed(f"the database cannot be reached: {str(error).strip()}") from error
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CommandFailed("the database is new or of an older version; run: hangar migrate")


def address(host: str, port: int) -> str:
    """Give the address to open in a browser on this machine."""
    if host in ("0.0.0.0", "::"):  # noqa: S104
        return f"http://localhost:{port}/"
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def is_loopback(host: str) -> bool:
    """Tell whether only this machine can reach the address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def serve(host: str, port: int, workers: int) -> None:
    """Serve until stopped."""
    # The workers start afresh and must not inherit an open connection.
    connection.close()
    Granian(
        "hangar.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=2,
        respawn_failed_workers=True,
        log_level=LogLevels.warning,
    ).serve()
