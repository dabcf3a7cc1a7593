"""How a command says that it failed."""


class CommandFailed(Exception):
    """A command cannot do its work; the message tells the reader why and what helps."""
