"""``panelbridge simboard``: ``command.serve`` puts a board on a pty and takes typed ``orders``."""
