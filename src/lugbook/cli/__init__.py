"""The command line: shows and asks, decides nothing.

`main` runs one command and returns its exit code; `commands` is the table of all commands, from which help
and the nearest valid words are made; `measuring`, `lists`, `drums`, `heads` and `presets` hold one family of
commands each and are imported when one of theirs is asked for; `shapes` makes the JSON that others script
against; `output` is the only place that writes; `failing` turns whatever goes wrong into words and a code.
"""
