"""Pictures of the real program: those of README.md, and a gallery to look at.

``python -m tests.pictures`` makes the README's pictures again in this folder; a test holds text and
styles of each against what the program shows. ``python -m tests.pictures gallery FOLDER`` draws
every state and page in every size, also in a real browser, and each at a third of its size.
"""
