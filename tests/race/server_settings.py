"""The settings of the server under test: those of the tests, on their database."""

import importlib
import os

_settings = importlib.import_module(os.environ["RACE_SETTINGS"])
globals().update({name: getattr(_settings, name) for name in dir(_settings) if name.isupper()})
DATABASES = {"default": {**_settings.DATABASES["default"], "NAME": os.environ["RACE_DATABASE"]}}
if os.environ.get("RACE_ALONE"):
    CELERY_TASK_ALWAYS_EAGER, CELERY_BROKER_URL = False, "memory://"
