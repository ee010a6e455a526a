"""One form for every record: a field a line, its fault beneath it, below all what the field at hand means."""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static, TextArea

from lugbook.desk import Desk
from lugbook.desk.keeping import BadRecord, faults_of
from lugbook.errors import LugbookError
from lugbook.plain import shown
from lugbook.records import Record
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.fields import Field, fields_of, texts_of, values_of
from lugbook.tui.keys import bindings, sign_of


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a form is for."""

    title: str
    model: type[Record]
    save: Callable[[dict[str, Any]], str]
    """Takes the values that were changed, nested as the record is, and returns the id of what is kept."""
    then: Callable[[str, str], None]
    """Is given the id of what was kept, and what there is to say of it."""
    record: Record | None = None
    """The record that is changed; None for a new one."""
    begun: Record | None = None
    """What is filled in of a new one already."""
    defaults: Mapping[str, str] = dataclasses.field(default_factory=dict)
    """What an empty text comes to, by key, where that is not the model's own default."""
    without: frozenset[str] = frozenset()
    """Keys of fields that are known already and not asked for."""
    remark: Callable[[dict[str, Any]], str] = lambda _: ""
    """Says what was taken for granted, where the values do not say it."""


class FieldLine(Vertical):
    """One field: its name, its text, what is wrong with it."""

    class Begun(Message):
        """The cursor is in a field."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

    def __init__(self, field: Field, text: str, *, default: str) -> None:
        super().__init__()
        self.field = field
        self.before = text
        self.default = default

    def compose(self) -> ComposeResult:
        """Compose name, text and fault."""
        star = " *" if self.field.required and not self.default else ""
        yield Static(Content(f"{self.field.label}{star}"), classes="label", markup=False)
        if self.field.long:
            yield TextArea(self.before, compact=True, tab_behavior="focus", show_line_numbers=False)
        else:
            yield Input(self.before, placeholder=self.default, compact=True, select_on_focus=False)
        yield Static("", classes="fault", markup=False)

    @property
    def text(self) -> str:
        """What is typed."""
        return self.query_one(TextArea).text if self.field.long else self.query_one(Input).value

    def on_descendant_focus(self) -> None:
        """Tell that the cursor is here."""
        self.post_message(self.Begun(self.field))

    def show_fault(self, sentence: str) -> None:
        """Show what is wrong, or nothing."""
        fault = self.query_one(".fault", Static)
        fault.update(Content(f"! {shown(sentence)}" if sentence else ""))
        self.set_class(bool(sentence), "-wrong")

    def begin(self) -> None:
        """Put the cursor into it."""
        self.query_one(TextArea if self.field.long else Input).focus()


class FormScreen(DeedScreen):
    """The form."""

    PLACES = ("form",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, wanted: Wanted, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="form", keys=keys)
        self.wanted = wanted
        fields = fields_of(wanted.model, language=desk.user.note_names)
        self.fields = tuple(field for field in fields if field.key not in wanted.without)
        self.before = texts_of(wanted.record, self.fields)
        self.begun = texts_of(wanted.begun or wanted.record, self.fields)
        self.leaving = False

    def compose(self) -> ComposeResult:
        """Compose a line for each field and the lines below."""
        yield Static(Content(shown(self.wanted.title)), id="title", markup=False)
        with VerticalScroll(id="fields", can_focus=False):
            for field in self.fields:
                default = self.wanted.defaults.get(field.key, field.default)
                yield FieldLine(field, self.begun[field.key], default=default)
        yield Static(id="hint", markup=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Begin with the first field."""
        super().on_mount()
        self.query(FieldLine).first().begin()
        self.say("* must be filled in. Tab goes on; what is left empty takes the value shown.")

    @on(FieldLine.Begun)
    def _show_hint(self, message: FieldLine.Begun) -> None:
        self.query_one("#hint", Static).update(Content(message.field.hint))

    @on(Input.Submitted)
    def _next_field(self, event: Input.Submitted) -> None:
        event.stop()
        self.focus_next()

    def texts(self) -> dict[str, str]:
        """Return what is typed, by key."""
        return {line.field.key: line.text for line in self.query(FieldLine)}

    def action_save(self) -> None:
        """Save what is filled in; what cannot be saved stays, with its fault beside it."""
        values, faults = values_of(self.texts(), before=self.before, fields=self.fields)
        if faults:
            # All that is wrong at once: what the record says of the other fields too.
            others = faults_of(self.wanted.model, self.wanted.record, values)
            own = {_group(field.key) for field in self.fields} - set(map(_group, faults))
            self._show_faults(faults | {key: text for key, text in others.items() if _group(key) in own})
            return

        def saved(id_: str) -> None:
            self.wanted.then(id_, self.wanted.remark(values))
            self.dismiss()

        self.ask("saving", lambda: self.wanted.save(values), saved)

    def action_back(self) -> None:
        """Leave the form; where something was typed, only when asked twice."""
        if self.texts() != self.begun and not self.leaving:
            self.leaving = True
            self.fault(
                f"Nothing is saved yet: {sign_of(self.keys['save'])} saves, "
                f"{sign_of(self.keys['back'])} again drops it."
            )
            return
        self.dismiss()

    def failed(self, error: LugbookError) -> None:
        """Show each fault beside its field."""
        if isinstance(error, BadRecord):
            self._show_faults(error.by_key)

    def _show_faults(self, faults: dict[str, str]) -> None:
        first: FieldLine | None = None
        placed: set[str] = set()
        for line in self.query(FieldLine):
            own = {key: text for key, text in faults.items() if _belongs(key, line.field.key)}
            placed |= own.keys()
            line.show_fault("; ".join(own.values()))
            first = first or (line if own else None)
        elsewhere = [f"{key}: {text}" for key, text in faults.items() if key not in placed]
        number = len(faults)
        self.fault(" ".join((f"{number} thing{'' if number == 1 else 's'} to mend.", *elsewhere)))
        if first is not None:
            first.begin()


def _group(key: str) -> str:
    return key.partition(".")[0]


def _belongs(key: str, field: str) -> bool:
    """Tell whether a fault's key is the field's, or that of one of its elements."""
    return key == field or key.startswith(f"{field}.")
