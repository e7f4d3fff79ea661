"""The outside checks go through the same small precinct as the API's tests."""

from tests.api.conftest import before_opening, loaded, policy, precinct, templates

__all__ = ["before_opening", "loaded", "policy", "precinct", "templates"]
