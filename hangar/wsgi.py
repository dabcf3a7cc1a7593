"""Entry point for a WSGI server."""

import os

from django.core.wsgi import get_wsgi_application

from hangar import data_folder

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
data_folder.prepare()
application = get_wsgi_application()
