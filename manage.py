#!/usr/bin/env python
"""Run one of Tarebook's commands: `python manage.py help` lists them."""

import os
import sys

from django.core.management import execute_from_command_line

from inventory.config.demo import prepare

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.config.settings")
    if sys.argv[1:2] == ["demo"]:
        prepare()
    execute_from_command_line(sys.argv)
