"""A viewer in a browser: the server, who may speak to it, and its page (``page/``)."""
