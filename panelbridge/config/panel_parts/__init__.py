"""What a panel file holds: its boards, and each kind of part that is wired to one."""
