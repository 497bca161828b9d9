"""The aircraft's systems. Pure: no port, socket, file, YAML, thread or wall clock."""
