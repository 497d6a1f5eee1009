"""The demo road: an invented freeway whose truth is stated, and the field files an engineer would be handed.

``truth`` says what the road is, ``plate`` how a slab answers a dropped load, ``deflections``, ``cores``,
``distress`` and ``office`` what the survey crews and the office wrote down, ``weather`` a year of hours,
``field_files`` writes it all.
Nothing here uses the program's own evaluation, so what the program finds can be held against the truth.
"""
