"""Where the plan of the moment of go is kept: one file a room, `.episodes/go/EPISODE.json`.

It is the program's own and may be deleted: only `drift` is lost with it.
"""

from pathlib import Path

from episodes.files.saving import PRIVATE_FOLDER, locked, read_text, write_whole


def kept_plan(folder: Path, episode: str) -> str | None:
    """What was kept for an episode, None where nothing was.

    Raises:
        OSError, EpisodesError: it is there and cannot be read.
    """
    path = _path(folder, episode)
    return read_text(path) if path.is_file() else None


def keep_plan(folder: Path, episode: str, text: str) -> None:
    """Keep a plan in the place of the one before.

    Raises:
        LockedError, OSError: nothing was written.
    """
    with locked(folder):
        path = _path(folder, episode)
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, text)


def _path(folder: Path, episode: str) -> Path:
    # An episode's id is the stem of a file in the folder, so it is a name and no path; whatever
    # else comes here is refused.
    if Path(episode).name != episode or episode in ("", ".", ".."):
        raise ValueError(f"no episode's id: {episode!r}")
    return folder / PRIVATE_FOLDER / "go" / f"{episode}.json"
