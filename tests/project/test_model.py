"""Random walks through load, edit, decide, alternatives, undo and redo, against a plain list of states."""

import shutil
import tempfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from slabwright.errors import Conflict, InputError
from slabwright.project import create, open_project
from slabwright.records.decisions import Decisions, to_plain

from .helpers import counts, file, ticking

years = st.lists(st.integers(1900, 2100), max_size=4)
names = st.sampled_from(["thick", "<b>", "שלום"])
thickness = st.just(0.0) | st.floats(0.0254, 0.2)  # none, or an inch and more
grout = st.sampled_from(["none", "cement grout"])


class Walk(RuleBasedStateMachine):
    """``states`` is the model: (years, files, alternatives) after each change; ``place`` is the head among them."""

    @initialize()
    def begin(self):
        self.folder = Path(tempfile.mkdtemp())
        self.clock = ticking()
        self.project = create(self.folder / "road.slab", user="Ada", clock=self.clock)
        self.states = [((), (), {"base": to_plain(Decisions())})]
        self.place = 0

    def teardown(self):
        self.project.close()
        shutil.rmtree(self.folder)

    @property
    def state(self):
        return self.states[self.place]

    def enter(self, rows=None, files=None, alternatives=None):
        given = (rows, files, alternatives)
        new = tuple(old if value is None else value for old, value in zip(self.state, given, strict=True))
        self.states = [*self.states[: self.place + 1], new]
        self.place += 1

    @rule(years=years, number=st.integers(1, 5))
    def load(self, years, number):
        name, frame = f"{number}.csv", counts(*years)
        batch = ("counts", frame, range(len(frame)))
        if name in self.state[1]:
            with pytest.raises(Conflict):
                self.project.load([batch], file=file(name))
        else:
            self.project.load([batch], file=file(name))
            self.enter(rows=(*self.state[0], *years), files=(*self.state[1], name))

    @rule(years=years)
    def edit(self, years):
        self.project.replace_table("counts", counts(*years))
        if tuple(years) != self.state[0]:
            self.enter(rows=tuple(years))

    @rule(name=st.one_of(st.just("base"), names), thickness=thickness, grout=grout)
    def decide(self, name, thickness, grout):
        values = {"design.thickness": thickness, "design.grout": grout}
        if name not in self.state[2]:
            with pytest.raises(InputError):
                self.project.decide(name, values)
            return
        self.project.decide(name, values)
        new = {**self.state[2][name], **values}
        if new != self.state[2][name]:
            self.enter(alternatives={**self.state[2], name: new})

    @rule(name=names, like=st.one_of(st.just("base"), names))
    def add(self, name, like):
        if name in self.state[2] or like not in self.state[2]:
            with pytest.raises(InputError):
                self.project.add_alternative(name, like)
        else:
            self.project.add_alternative(name, like)
            self.enter(alternatives={**self.state[2], name: self.state[2][like]})

    @rule(name=names)
    def remove(self, name):
        if name not in self.state[2]:
            with pytest.raises(InputError):
                self.project.remove_alternative(name)
        else:
            self.project.remove_alternative(name)
            self.enter(alternatives={key: value for key, value in self.state[2].items() if key != name})

    @precondition(lambda self: self.place > 0)
    @rule()
    def undo(self):
        self.project.undo()
        self.place -= 1

    @precondition(lambda self: self.place < len(self.states) - 1)
    @rule()
    def redo(self):
        self.project.redo()
        self.place += 1

    @rule()
    def stop_at_the_ends(self):
        if self.place == 0:
            with pytest.raises(InputError):
                self.project.undo()
        if self.place == len(self.states) - 1:
            with pytest.raises(InputError):
                self.project.redo()

    @rule()
    def reopen(self):
        self.project.close()
        self.project = open_project(self.folder / "road.slab", user="Ben", clock=self.clock)

    @invariant()
    def agrees(self):
        rows, files, alternatives = self.state
        pd.testing.assert_frame_equal(self.project.facts().counts, counts(*rows))
        assert tuple(s.name for s in self.project.sources()) == files
        assert self.project.alternatives() == tuple(alternatives)
        for name, plain in alternatives.items():
            assert to_plain(self.project.decisions(name)) == plain
        entries = self.project.history()
        assert [e.id for e in entries] == list(range(1, len(entries) + 1)), "no entry ever goes"
        history = [e for e in entries if not e.is_step and e.replaced is None]
        assert [c.undone for c in history] == [n >= self.place for n in range(len(self.states) - 1)]
        assert self.project.head == (history[self.place - 1].id if self.place else 0)


TestWalk = Walk.TestCase
TestWalk.settings = settings(max_examples=15, stateful_step_count=25, deadline=None)
