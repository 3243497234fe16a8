"""`python -m pulsewright`, and what the installed command `pulsewright` runs."""

from __future__ import annotations

from pulsewright.cli import main

if __name__ == "__main__":
    main()
