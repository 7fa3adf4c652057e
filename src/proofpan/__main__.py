"""`python -m proofpan` is the command proofpan."""

from proofpan.cli import main

if __name__ == "__main__":
    main()
