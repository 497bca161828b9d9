"""Drawing on pages of A4: texts whose size is known, symbols, blocks with pins, paging."""
