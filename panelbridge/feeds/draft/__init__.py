"""Looks at an unknown stream and drafts a feed file, with guesses marked as guesses."""
