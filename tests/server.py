"""The program as a person runs it: commands and a server in processes of their own."""

import os
import socket
import subprocess
import sys
import time
from contextlib import closing, contextmanager
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

COMMAND = [sys.executable, "-P", "-c", "from hangar.cli import main; main()"]
START_LIMIT_S = 60


def environment_of(folder):
    """The variables of a process that keeps its data in the folder."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("HANGAR_")}
    return clean | {"HANGAR_DATA_DIR": str(folder)}


def run_command(folder, *arguments):
    """Run one `hangar` command on the data of a folder; give what it printed."""
    done = subprocess.run(
        [*COMMAND, *arguments],
        env=environment_of(folder),
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def make_demo(folder):
    """Make the demo in a folder."""
    run_command(folder, "migrate", "-v0")
    run_command(folder, "shell", "-v0", "-c", "from hangar import demo; demo.load()")


@contextmanager
def serving(folder):
    """Serve the data of a folder; give the address."""
    port = _free_port()
    log = folder / "server.log"
    with log.open("wb") as output:
        process = subprocess.Popen(
            [*COMMAND, "serve", "--port", str(port), "--workers", "1"],
            env=environment_of(folder),
            cwd=folder,
            stdout=output,
            stderr=subprocess.STDOUT,
        )
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address, process, log)
        yield address
    finally:
        process.terminate()
        process.wait(20)


def _free_port():
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _wait_for(address, process, log):
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline and process.poll() is None:
        try:
            with urlopen(f"{address}/sign-in/", timeout=5):
                return
        except HTTPError:
            break
        except (URLError, OSError):
            time.sleep(0.1)
    raise AssertionError(f"The server did not start: {log.read_text(errors='replace')[-1000:]}")
