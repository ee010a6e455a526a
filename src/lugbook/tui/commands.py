"""The table of commands: one row for each deed that a key does.

The key bindings, the line of keys at the foot of a screen, the command palette, the help page and the key
table of the README derive from this table. A *place* is where the player is: a screen, one face of it, or a
line that is being typed into. At the drum the letters A to H and the digits begin a reading, so no command
uses them there; where a line is being typed into, no command uses a key that types.
"""

from dataclasses import dataclass
from typing import Literal, get_args

Place = Literal[
    "welcome",
    "shelf",
    "filter",
    "listening",
    "turning",
    "line",
    "picture",
    "logbook",
    "trial turning",
    "trial reading",
    "trial words",
    "trial text",
    "trial mark",
    "trial verdict",
    "starts",
    "drums",
    "heads",
    "sweep",
    "concert",
    "form",
    "page",
    "problems",
    "help",
]
"""Where the player is."""

PLACES: tuple[Place, ...] = get_args(Place)

BENCH: tuple[Place, ...] = ("listening", "turning")
"""Both faces of the bench."""

AT_DRUM: tuple[Place, ...] = (*BENCH, "logbook", "trial turning")
"""Where the letters A to H and the digits begin a reading, or the number of a rod."""

ROUNDS: tuple[Place, ...] = ("turning", "trial turning")
"""Where rods are turned."""

TRIAL_LINES: tuple[Place, ...] = ("trial reading", "trial words", "trial text")
"""Lines of the logbook that are typed into."""

TYPING: tuple[Place, ...] = ("filter", "line", *TRIAL_LINES, "sweep", "form")
"""Places where keys type text."""

READING: tuple[Place, ...] = tuple(place for place in PLACES if place not in TYPING)
"""Places where keys do not type text."""

WHERE: dict[Place, str] = {
    "welcome": "First run",
    "shelf": "Shelf",
    "filter": "Shelf, typing a filter",
    "listening": "Bench, listening",
    "turning": "Bench, turning",
    "line": "Bench, typing a line",
    "picture": "Picture",
    "logbook": "Logbook",
    "trial turning": "Logbook, turning",
    "trial reading": "Logbook, reading",
    "trial words": "Logbook, words",
    "trial text": "Logbook, a line",
    "trial mark": "Logbook, passage",
    "trial verdict": "Logbook, verdict",
    "starts": "Starting points",
    "drums": "Drums to carry to",
    "heads": "Heads",
    "sweep": "Snares",
    "concert": "Concert",
    "page": "Page",
    "form": "Form",
    "problems": "Problems",
    "help": "Help",
}
"""What each place is called."""

READING_KEYS = frozenset("abcdefghABCDEFGH0123456789")
"""Keys that begin a reading at the drum."""

ALWAYS = {"quit": "ctrl+q", "help": "f1", "palette": "ctrl+p"}
"""Keys that keep their meaning whatever the user's settings say, by command id."""


@dataclass(frozen=True, slots=True)
class Command:
    """One row of the table."""

    id: str
    """Its name in the user's settings; the handler is ``action_<id>``."""
    key: str
    """Its key, as Textual names it, unless the user's settings say otherwise."""
    label: str
    """What the line of keys calls it."""
    places: tuple[Place, ...]
    """Where it can be done."""
    sentence: str
    """What it does, for help, palette and README."""
    footer: bool = True
    """Whether the line of keys shows it."""
    everywhere: bool = False
    """Whether the program as a whole handles it, rather than the screen."""


# fmt: off
COMMANDS: tuple[Command, ...] = (
    Command("open_demo", "o", "open the demo", ("welcome",),
            "Open the invented player's library that comes with Lugbook."),
    Command("take_out", "enter", "to the bench", ("shelf",),
            "Take the drum to the bench with the preset under the cursor."),
    Command("filter", "slash", "filter", ("shelf",),
            "Type words: presets stay whose name, drum, contexts or words hold them all."),
    Command("context", "c", "by music", ("shelf",),
            "Show the presets for the next kind of music, and at last all again."),
    Command("add_preset", "n", "new preset", ("shelf",),
            "Fill in a new preset for the drum under the cursor."),
    Command("begin_preset", "s", "starts", ("shelf",),
            "Begin a preset for the drum under the cursor from a starting point."),
    Command("heads", "h", "heads", ("shelf",),
            "Show the heads of the drum under the cursor: put a new one on, or say that a count is lost."),
    Command("sweep", "w", "snares", ("shelf",),
            "Set the snares of the drum under the cursor: free, choke, and between the two.", footer=False),
    Command("response", "a", "answers", ("shelf",),
            "Show how the heads of the drum under the cursor answer to turns.", footer=False),
    Command("logbook", "j", "logbook", ("shelf",),
            "Open the logbook of the drum: its searches, the chart, the map, and what to try next."),
    Command("to_logbook", "j", "logbook", ("listening",),
            "Open the logbook of the drum at the bench.", footer=False),
    Command("tonight", "t", "tonight", ("shelf",),
            "Open the concert that comes next: its running order, the changes and the time left.",
            footer=False),
    Command("carry", "b", "borrowed", ("shelf",),
            "Carry the pitches of the preset under the cursor to a borrowed drum; turns stay.", footer=False),
    Command("add_drum", "d", "new drum", ("shelf", "welcome"),
            "Fill in a new drum."),
    Command("edit", "e", "edit", ("shelf",),
            "Change the preset or the drum under the cursor."),
    Command("remove", "x", "remove", ("shelf",),
            "Put the preset or the drum under the cursor away; restore brings it back."),
    Command("restore", "r", "restore", ("shelf",),
            "Bring back what was removed last.", footer=False),
    Command("version_before", "v", "version before", ("shelf",),
            "Bring back what is under the cursor as it was before its last change.", footer=False),
    Command("problems", "p", "problems", ("shelf",),
            "List the files that cannot be read, and why.", footer=False),
    Command("reload", "u", "read again", ("shelf",),
            "Read the library again, for instance after somebody else changed it.", footer=False),
    Command("filter_done", "enter", "to the list", ("filter",),
            "Keep the filter and go back to the list."),
    Command("filter_drop", "escape", "show all", ("filter", "shelf"),
            "Drop the filter, words and music, and go back to the list."),
    Command("turn", "t", "turn", ("listening",),
            "Turn the head that the advice names, rod by rod."),
    Command("turn_this", "i", "this first", ("listening",),
            "Turn the head at hand, though the advice begins with the other."),
    Command("silent", "s", "unheard", ("listening",),
            "Turn from where the drum stands to this preset by turns alone, where nobody may tap."),
    Command("check", "k", "check", ("listening",),
            "Say why the drum is not there, and which of its presets it is nearest to."),
    Command("picture", "p", "picture", ("listening",),
            "Show what was heard in the recording: level, taps, and the lines to choose from."),
    Command("other_head", "tab", "other head", ("listening", "line"),
            "Take the other head to hand."),
    Command("type_reading", "enter", "type", ("listening",),
            "Type a reading; a letter A to H or a digit begins one as well."),
    Command("recording", "r", "recording", ("listening",),
            "Read the pitch from a recording: type the path of its file."),
    Command("by_ear", "y", "ear/typed", ("listening",),
            "Say how the next pitches are had: found by ear, or typed from a meter."),
    Command("struck", "o", "rim/centre", ("listening", "logbook"),
            "Say where the head is struck: near the rim, or at its centre.", footer=False),
    Command("higher", "up", "high side", ("listening", "line", "trial reading"),
            "By ear: from the low side to on it, and on to the high side.", footer=False),
    Command("lower", "down", "low side", ("listening", "line", "trial reading"),
            "By ear: from the high side to on it, and on to the low side.", footer=False),
    Command("more", "m", "more", (*BENCH, "concert"),
            "Show what does not fit below; after the end, the beginning again."),
    Command("take_reading", "enter", "take it", ("line", *TRIAL_LINES),
            "Take the line as it is typed."),
    Command("drop_line", "escape", "drop it", ("line", *TRIAL_LINES, "trial mark", "trial verdict"),
            "Leave the line without taking it; stop listening to a recording."),
    Command("begin_here", "enter", "begin here", ("starts",),
            "Begin the preset from the starting point under the cursor."),
    Command("carry_here", "enter", "to this drum", ("drums",),
            "Carry the preset to the drum under the cursor."),
    Command("fit_head", "n", "new head", ("heads",),
            "Put a new head on the side under the cursor; its turns are counted afresh."),
    Command("count_lost", "k", "count lost", ("heads",),
            "Begin a new count of the head under the cursor, when pressed twice; its old turns are void."),
    Command("count_back", "u", "count back", ("heads",),
            "Take back a count that was begun by mistake: the turns before it count again."),
    Command("sweep_take", "enter", "take it", ("sweep",),
            "Take what is typed, and go on: from free to choke to the setting, which is written down."),
    Command("tighter", "up", "tighter", ("sweep",),
            "A step of the adjustment more."),
    Command("looser", "down", "looser", ("sweep",),
            "A step of the adjustment less."),
    Command("other_adjustment", "tab", "other one", ("sweep",),
            "Sweep the next adjustment of the strainer."),
    Command("choose", "enter", "I hear that one", ("picture",),
            "Take the line under the cursor for the pitch: it is the one that you hear."),
    Command("rod_done", "space", "rod done", ROUNDS,
            "The rod shown has been turned: on to the next."),
    Command("all_done", "w", "all done", ROUNDS,
            "All rods have been turned, in loosening all of this pass."),
    Command("stopped", "s", "stopped after", ROUNDS,
            "Stop part-way: give the number of the last rod that was turned."),
    Command("take_back", "u", "take back", ROUNDS,
            "Turn the rods back one by one, the last one first; pressed again, go on after all."),
    Command("go_on", "enter", "go on", ("logbook",),
            "Go on with the search: make the turns, then read, and say how the drum speaks."),
    Command("turn_there", "t", "turn", ("logbook",),
            "Turn to the state that is proposed, rod by rod, whatever else is still open.", footer=False),
    Command("undo_state", "u", "undo", ("logbook",),
            "Turn back to the kept state, rod by rod, and read it again."),
    Command("map", "m", "map", ("logbook",),
            "Show the map of what was heard in place of the chart, and the chart again."),
    Command("keep_state", "k", "keep", ("logbook",),
            "Keep the kept state as a preset: pitches, turns, snares and words."),
    Command("finer", "i", "finer", ("logbook",),
            "Go on by half the step, once no side is left."),
    Command("strike", "x", "strike out", ("logbook",),
            "Strike out the last entry, when pressed twice; it stays in the file."),
    Command("judge_again", "w", "verdict again", ("logbook",),
            "Say the verdict of the entry under the cursor again; the latest counts.", footer=False),
    Command("resume", "r", "read again", ("logbook",),
            "Read both heads where the drum stands, after days for instance; what drifted is said."),
    Command("new_search", "n", "new search", ("logbook",),
            "Begin a search: say for what music; where the drum stands is its first state."),
    Command("next_search", "y", "next search", ("logbook",),
            "Show the next search of this drum."),
    Command("end_search", "z", "end", ("logbook",),
            "End the search, settled or not; an entry that follows goes on with it.", footer=False),
    Command("find", "slash", "find", ("logbook",),
            "Show only the entries of the chart that hold the words typed.", footer=False),
    Command("my_settings", "p", "passages", ("logbook",),
            "Change your own settings: test passages, hidden pitches, names of notes, pace.", footer=False),
    Command("ear_or_typed", "tab", "ear/typed", ("trial reading",),
            "Say how this pitch is had: found by ear, or typed from a meter."),
    Command("words_before", "up", "earlier words", ("trial words",),
            "Take the next of the words that you said before, the most used first."),
    Command("words_back", "down", "back", ("trial words",),
            "Go back among the words that you said before."),
    Command("words_on", "tab", "also", ("trial words",),
            "Keep this word and say another beside it.", footer=False),
    Command("where_heard", "tab", "drum/hall", ("trial text",),
            "Say where the search is heard: at the drum, or in the hall."),
    Command("well", "plus", "well", ("trial mark",),
            "The passage speaks well."),
    Command("so_so", "0", "so-so", ("trial mark",),
            "The passage speaks so-so."),
    Command("badly", "minus", "badly", ("trial mark",),
            "The passage speaks badly."),
    Command("better", "plus", "better", ("trial verdict",),
            "It is better than the kept state, and is kept from now on; b says so too."),
    Command("same", "0", "same", ("trial verdict",),
            "It is the same as the kept state, which stays; s and = say so too."),
    Command("worse", "minus", "worse", ("trial verdict",),
            "It is worse than the kept state, which stays; w says so too."),
    Command("skip", "enter", "skip", ("trial mark", "trial verdict"),
            "Leave this question open."),
    Command("next_item", "n", "next item", ("concert",),
            "The next item begins; in a rest, the item goes on."),
    Command("window_begins", "w", "item over", ("concert",),
            "The item is over, or rests: the time for the changes begins to run."),
    Command("tick", "space", "done", ("concert",),
            "Tick off what the sign › stands at; a change goes into the drum's logbook by its turns."),
    Command("untick", "u", "undo", ("concert",),
            "Take back what was ticked off last, and its entries in the logbook."),
    Command("task_bench", "enter", "bench", ("concert",),
            "Make it at the bench: a change rod by rod, a drum before the doors measured."),
    Command("step_back", "p", "step back", ("concert",),
            "Take back the step: what was on before goes on, with its time."),
    Command("task_up", "up", "up", ("concert",),
            "Go up to the one before it in the list.", footer=False),
    Command("task_down", "down", "down", ("concert",),
            "Go down to the next in the list.", footer=False),
    Command("begin_anew", "k", "begin anew", ("concert",),
            "Begin the evening anew, when pressed twice; the logbooks stay.", footer=False),
    Command("back", "escape", "back",
            (*AT_DRUM, "picture", "starts", "drums", "heads", "sweep", "concert", "form", "page",
             "problems", "help"),
            "Go back to the screen before; at the bench, everything is kept."),
    Command("save", "ctrl+s", "save", ("form",),
            "Save what is filled in."),
    Command("theme", "l", "light/dark", READING,
            "Change between the dark stage and the light room.", footer=False, everywhere=True),
    Command("help", "question_mark", "help",
            tuple(place for place in READING if place != "help"),
            "Show every key of this screen and what it does.", everywhere=True),
    Command("palette", "ctrl+p", "find a deed", PLACES,
            "Look for a deed by its words; those of the shell too.", footer=False, everywhere=True),
    Command("quit", "q", "quit", READING,
            "Leave the program; whatever was done is on disk.", everywhere=True),
)
# fmt: on
"""All commands, in the order in which the line of keys and the help page show them."""

BY_ID: dict[str, Command] = {command.id: command for command in COMMANDS}

IN_A_SHELL: tuple[tuple[str, str], ...] = (
    ("Check every file of the library", "lugbook verify"),
    ("Hear the taps of a recording one by one", "lugbook listen FILE"),
    ("Draw what was heard in a recording", "lugbook listen FILE --picture taps.svg"),
    ("Name the nearest note of a frequency", "lugbook note 221.3"),
)
"""Deeds that stay commands of the shell, and the line to type for each."""


def commands_at(*places: Place) -> tuple[Command, ...]:
    """Return the commands that can be done at any of *places*, in table order."""
    return tuple(command for command in COMMANDS if set(places) & set(command.places))
