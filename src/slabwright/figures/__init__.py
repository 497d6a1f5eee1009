"""Pictures described once: what each shows, in SI and in words, for the painters of the report and of the pages.

``record`` holds the records, ``looks`` the colours, dashes and markers by role, ``shown`` puts a figure into the reader's
units. ``design``, ``loading``, ``sectioning`` and ``mechanistic`` describe pictures of results; ``road`` and ``strip`` the
road strip. Nothing here draws.
"""
