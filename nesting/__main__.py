"""`python -m nesting` is `hideplan`."""

import sys

from nesting.commands import main

sys.exit(main())
