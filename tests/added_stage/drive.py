"""Run as a program: adds the stage to the order before anything else is loaded, then is the program."""

from slabwright import stages

stages.ORDER = (*stages.ORDER, "tests.added_stage.stage")


if __name__ == "__main__":
    from slabwright.cli import main

    main()
