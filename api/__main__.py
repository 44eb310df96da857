"""``python -m api``: the same as the console script ``takeproof``."""

from api.cli.run import main

if __name__ == "__main__":
    main()
