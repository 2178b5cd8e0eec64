"""`python -m nesting` is `nesting`, for where programs of a virtual environment are not on the path."""

from nesting.command_line import main

if __name__ == "__main__":
    main(prog_name="nesting")
