"""``python -m subspark`` is the command ``subspark``."""

import sys

from subspark.cli import main

sys.exit(main())
