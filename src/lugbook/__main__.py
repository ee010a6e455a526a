"""`python -m lugbook` is the same as `lugbook`."""

from lugbook.cli.main import run

if __name__ == "__main__":
    run()
