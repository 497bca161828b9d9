"""Why, on the screen: what can be asked, and the reasons of what was chosen."""
