import pytest

from planner.adapters.web.app import create_app


@pytest.fixture
def app(tools):
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    app.config["PROPAGATE_EXCEPTIONS"] = False
    return app


@pytest.fixture
def client(app):
    return app.test_client()
