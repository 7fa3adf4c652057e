"""What can go wrong with a notebook, each in one sentence.

NotebookError
├── NotFound    no such study, revision, file or tasting
├── Conflict    somebody else was there first; nothing was written
├── Busy        another program holds the notebook; the same call may succeed in a moment
└── NoRoom      the disk is full; the same call succeeds once there is room
"""


class NotebookError(Exception):
    """A notebook can't do what was asked; the text is one sentence for the person who asked."""


class NotFound(NotebookError):  # noqa: N818 - read as sentences: except Conflict
    """What was asked for isn't in the notebook."""


class Conflict(NotebookError):  # noqa: N818 - read as sentences: except Conflict
    """What was to be written contradicts what is there; nothing was written."""


class Busy(NotebookError):  # noqa: N818 - read as sentences: except Conflict
    """The notebook is held by another program; trying again may succeed."""


class NoRoom(NotebookError):  # noqa: N818 - read as sentences: except NoRoom
    """The disk is full: nothing was written, and all before it is safe."""
