"""The Textual screen: reads snapshots, holds no logic.

``DashboardApp`` is the screen. It reads a ``SnapshotSource``, moves switches through ``Controls``,
and shows what ``Equipment``, ``LampLook`` and the like describe.

The folders build on each other: ``text`` (styled lines, words) <- ``blocks`` (parts of a page)
<- ``pages`` <- ``widgets`` and ``app``. ``switches`` has the keys and the mouse.
"""
