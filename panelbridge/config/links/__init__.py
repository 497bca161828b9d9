"""Feed files with 'source: link': what a simulator sends, what it takes, and by which way."""
