"""The project's settings with a queue that nobody else reads, for a web process and a worker under test."""

import os

from studio.settings import *  # noqa: F403

CELERY_TASK_DEFAULT_QUEUE = os.environ["WORKER_QUEUE"]
