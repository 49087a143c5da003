"""The desk itself: what lives from request to request. The files of the workspace are the truth."""

from threading import Lock

from builder.board.board import Board
from builder.board.live import LiveGuides
from builder.desk.accounts import Accounts
from builder.desk.jobs import Jobs
from builder.desk.notices import Notices
from builder.desk.sessions import Sessions, Tries
from builder.desk.setting import Setting
from builder.desk.trials import Trials
from builder.desk.uploads import Uploads
from builder.saving.saves import Saves


class Desk:
    """One running desk over one workspace. ``press``: one paper is set at a time."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.board = Board(setting.root, setting.out, setting.today)
        self.notices = Notices()
        self.live = LiveGuides(setting.root)
        self.trials = Trials()
        self.saves = Saves(setting.root)
        self.jobs = Jobs(setting.now)
        self.press = Lock()
        self.uploads = Uploads()
        self.accounts = Accounts(setting.accounts) if setting.accounts else None
        self.sessions, self.tries = Sessions(setting.now), Tries(setting.now)

    def open(self) -> None:
        """Finish a save that was cut off, and begin to look at plots in the background."""
        self.saves.recover()
        self.board.look_on()

    def close(self) -> None:
        """Stop what runs in the background."""
        self.board.close()
        self.jobs.close()
