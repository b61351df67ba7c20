"""``python -m docgen``"""

import sys

from docgen.cli import main

sys.exit(main())
