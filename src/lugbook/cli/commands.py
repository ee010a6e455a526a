"""The table of all commands. Nothing else is loaded for `lugbook --help`."""

FAMILIES = {
    "At the drum": {
        "note": ("measuring", "R", "name a reading: hertz, nearest note, cents"),
        "listen": ("measuring", "FILE", "hear the taps in a recording"),
        "check": (
            "checking",
            "DRUM/PRESET --top R --bottom R",
            "is it where its preset says? why not?",
        ),
        "retune": ("measuring", "DRUM/PRESET --top R --bottom R", "the turns that bring it back"),
        "change": ("changing", "DRUM/PRESET DRUM/PRESET", "from one preset to another by turns alone"),
        "response": ("responding", "DRUM", "how each head answers to turns, from the logbook"),
        "sweep": (
            "sweeping",
            "DRUM [--free X] [--choke Y] [--set Z]",
            "set the snares between free and choke",
        ),
    },
    "The search": {
        "try": ("trying", "DRUM", "write a state down: turn, pitches, words, verdict"),
        "next": ("searching", "DRUM", "what to try next, and how to get there"),
        "log": ("charting", "DRUM", "the chart of what was tried; --csv, or --blank to print"),
        "map": ("charting", "DRUM", "every state that was heard, and what is left"),
        "find": ("finding", "WORDS...", "entries and presets by words, music or pitch"),
        "passages": ("finding", "[NAME...]", "your own test passages, three to six"),
        "search list": ("searching", "DRUM", "list the searches of a drum"),
        "search show": ("searching", "DRUM", "what is kept in a search, untried, and contradictory"),
        "search resume": ("searching", "DRUM --top R --bottom R", "go on: is the drum where it was left?"),
        "search settle": ("searching", "DRUM", "end a search, with --preset keep what it found"),
    },
    "On the shelf": {
        "presets": ("lists", "[--drum D] [--for CONTEXT]", "list presets, or starting points with --start"),
        "drums": ("lists", "", "list drums"),
        "heads": ("lists", "DRUM", "list the heads of a drum, with their history"),
        "verify": ("lists", "", "check every file of the library"),
    },
    "On paper": {
        "card preset": ("carding", "DRUM/PRESET", "a card of a preset to print, for the drum case"),
        "card drum": ("carding", "DRUM", "a card of a drum to print, with its presets"),
        "card blank": ("carding", "DRUM", "a chart of trials to print and pencil in"),
        "card concert": ("carding", "CONCERT", "a concert on one page, for the stand: what to change when"),
    },
    "Records": {
        "drum list": ("lists", "", "list drums"),
        "drum show": ("drums", "DRUM", "show all that is kept of a drum"),
        "drum add": ("drums", "NAME --diameter IN", "put a new drum on the shelf"),
        "drum edit": ("drums", "DRUM", "change what is kept of a drum"),
        "drum remove": ("drums", "DRUM", "take a drum off the shelf, with presets and logbook"),
        "drum restore": ("drums", "DRUM", "bring back a drum that was removed"),
        "head list": ("lists", "DRUM", "list the heads of a drum, with their history"),
        "head show": ("heads", "DRUM HEAD", "show all that is kept of a head"),
        "head add": ("heads", "DRUM top|bottom", "put a new head on; its count of turns starts afresh"),
        "head fit": (
            "fitting",
            "DRUM top|bottom",
            "put a new head on, with its first turns and how to seat it",
        ),
        "head recount": (
            "fitting",
            "DRUM top|bottom|both",
            "begin a new count of turns: the old one is lost",
        ),
        "head edit": ("heads", "DRUM HEAD", "correct what is kept of a head"),
        "head remove": ("heads", "DRUM HEAD", "remove the record of a head"),
        "head restore": ("heads", "DRUM HEAD", "bring back a head's record that was removed"),
        "wires list": ("wires", "DRUM", "list the sets of wires of a drum, with their history"),
        "wires show": ("wires", "DRUM WIRES", "show all that is kept of a set of wires"),
        "wires add": ("wires", "DRUM", "put new wires on, or say that they are tied anew"),
        "wires edit": ("wires", "DRUM WIRES", "correct what is kept of a set of wires"),
        "wires remove": ("wires", "DRUM WIRES", "remove the record of a set of wires"),
        "wires restore": ("wires", "DRUM WIRES", "bring back a record of wires that was removed"),
        "preset list": ("lists", "[--drum D] [--for CONTEXT]", "list presets"),
        "preset show": ("presets", "DRUM/PRESET", "show all that is kept of a preset"),
        "preset add": ("presets", "DRUM [NAME]", "keep a new preset, or begin one with --start SLUG"),
        "preset from": ("searching", "DRUM ENTRY [NAME]", "keep a state of the logbook as a preset"),
        "preset edit": ("presets", "DRUM/PRESET", "change what is kept of a preset"),
        "preset remove": ("presets", "DRUM/PRESET", "take a preset off the shelf"),
        "preset restore": ("presets", "DRUM/PRESET", "bring back a preset that was removed or changed"),
    },
    "Repertoire": {
        "context list": ("contexts", "[--kind K]", "list the words for music: the program's and your own"),
        "context rename": ("contexts", "OLD NEW", "rename a word for music throughout the library"),
        "piece list": ("pieces", "", "list the pieces"),
        "piece show": ("pieces", "PIECE", "show all that is kept of a piece"),
        "piece add": ("pieces", "TITLE", "keep a new piece"),
        "piece edit": ("pieces", "PIECE", "change what is kept of a piece, or add a performance"),
        "piece read": (
            "reading_parts",
            "PART",
            "read a part (MusicXML or MIDI) into a piece, after your yes",
        ),
        "piece remove": ("pieces", "PIECE", "remove a piece"),
        "piece restore": ("pieces", "PIECE", "bring back a piece that was removed or changed"),
        "piece suggest": ("pieces", "PIECE", "the presets to begin a piece with, and why"),
        "concert list": ("concerts", "", "list the concerts"),
        "concert show": ("concerts", "CONCERT", "show a concert with its items"),
        "concert add": ("concerts", "NAME [--item NAME=WHAT]", "keep a new concert"),
        "concert edit": ("concerts", "CONCERT", "change a concert: put in, move and drop items"),
        "concert remove": ("concerts", "CONCERT", "remove a concert"),
        "concert plan": ("planning", "CONCERT", "which drum for what, and the silent changes between"),
        "concert restore": ("concerts", "CONCERT", "bring back a concert that was removed or changed"),
    },
}
"""Heading → command → (module, what comes after the command in its usage, what it does)."""

COMMANDS = {name: row for family in FAMILIES.values() for name, row in family.items()}
"""Command → (module, what comes after it, what it does)."""

NOUNS = tuple(dict.fromkeys(name.partition(" ")[0] for name in COMMANDS if " " in name))
"""The nouns that take a verb."""


def verbs_of(noun: str) -> list[str]:
    """Return the verbs that *noun* takes."""
    return [name.partition(" ")[2] for name in COMMANDS if name.startswith(f"{noun} ")]


def first_words() -> list[str]:
    """Return every word that may come first on the command line."""
    return list(dict.fromkeys(name.partition(" ")[0] for name in COMMANDS))


def help_text() -> str:
    """Return what `lugbook --help` prints."""
    lines = [
        "usage: lugbook [--library DIR] [COMMAND ...]",
        "",
        "Lugbook finds, keeps and brings back the head tensions of a drum for each kind of music.",
        "With no command it opens the terminal program.",
    ]
    for heading, family in FAMILIES.items():
        lines += ["", f"{heading}:"]
        lines += [f"  {name:<8} {about}" for name, (_, _, about) in family.items() if " " not in name]
        nouns = dict.fromkeys(name.partition(" ")[0] for name in family if " " in name)
        lines += [f"  {noun:<8} {', '.join(verbs_of(noun))}" for noun in nouns]
    lines += [
        "",
        "A reading R is a note (A3+12, Bb4, A), a frequency (221.3) or a recording's path.",
        "",
        "options:",
        "  --library DIR  the library's folder; else LUGBOOK_LIBRARY, the user's settings, the data folder",
        "  --version      print the version",
        "  -h, --help     print this; `lugbook COMMAND --help` tells about one command",
        "",
        "Exit codes: 0 fine, 1 the answer is no or cannot be told, 2 a bad value or option, 3 the library is",
        "missing, not writable or damaged, 4 sound, 130 interrupted. Data on stdout, words on stderr, UTF-8.",
    ]
    return "\n".join(lines)


def noun_help_text(noun: str) -> str:
    """Return what `lugbook NOUN --help` prints."""
    lines = [f"usage: lugbook {noun} VERB ...", ""]
    for verb in verbs_of(noun):
        _, after, about = COMMANDS[f"{noun} {verb}"]
        lines.append(f"  {f'{verb} {after}'.rstrip():<36} {about}")
    lines += ["", f"`lugbook {noun} VERB --help` tells about one verb."]
    return "\n".join(lines)
