"""The desk itself: what lives from request to request. The files of the workspace are the truth."""

from builder.board.board import Board
from builder.desk.accounts import Accounts
from builder.desk.notices import Notices
from builder.desk.sessions import Sessions, Tries
from builder.desk.setting import Setting


class Desk:
    """One running desk over one workspace."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.board = Board(setting.root, setting.out, setting.today)
        self.notices = Notices()
        self.accounts = Accounts(setting.accounts) if setting.accounts else None
        self.sessions, self.tries = Sessions(setting.now), Tries(setting.now)

    def open(self) -> None:
        """Begin to look at plots in the background."""
        self.board.look_on()

    def close(self) -> None:
        """Stop what runs in the background."""
        self.board.close()
