"""YAML that a test holds as a text."""

from __future__ import annotations

from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import scan_text
from panelbridge.errors import ConfigError


def parse_yaml(text: str, file: str) -> YamlSource:
    """What ``text`` says. Raises: ConfigError, with every error in it."""
    source, problems = scan_text(text, file)
    if source is None or problems:
        raise ConfigError(problems)
    return source
