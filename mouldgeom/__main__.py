"""``python -m mouldgeom``."""

from mouldgeom.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
