"""Where the programs are that the tests of this folder need, and how to get those that are missing.

EPISODES_PEERS   folders of programs, as in PATH; looked at before PATH
EPISODES_NODE    a folder with `node_modules`
EPISODES_GI      a Python that has PyGObject; default /usr/bin/python3
"""

import os
import shutil
from pathlib import Path

HOW = {
    "chromium": "apt-get install chromium",
    "node": "apt-get install nodejs",
    "java": "apt-get install default-jre-headless",
    "radicale": "pip install radicale, in an environment of its own",
    "vdirsyncer": "pip install vdirsyncer, in an environment of its own",
    "pdfinfo": "apt-get install poppler-utils",
}
NODE_MODULES = "npm install ical.js html-validate vnu-jar"


def program(name: str) -> str:
    """The path of a program.

    Raises:
        AssertionError: it is not there.
    """
    path = os.pathsep.join((os.environ.get("EPISODES_PEERS", ""), os.environ.get("PATH", "")))
    found = shutil.which(name, path=path)
    assert found, f"{name} is not there: {HOW[name]}; folders to look in: EPISODES_PEERS"
    return found


def node_modules() -> Path:
    """The folder of node's packages."""
    folder = Path(os.environ.get("EPISODES_NODE", ".")).absolute() / "node_modules"
    assert folder.is_dir(), f"{folder} is not there: {NODE_MODULES}; its folder: EPISODES_NODE"
    return folder


def gi_python() -> str:
    """A Python with PyGObject, for libical."""
    return os.environ.get("EPISODES_GI", "/usr/bin/python3")
