"""`python -m kettleglass` is the command `kettleglass`."""

from kettleglass.cli.main import main

if __name__ == "__main__":
    main(prog_name="kettleglass")
