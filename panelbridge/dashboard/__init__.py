"""The Textual screen: reads snapshots, holds no logic."""
