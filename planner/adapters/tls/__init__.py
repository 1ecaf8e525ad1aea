"""The home's own certificate, with which the pages are served to the room."""

from planner.adapters.tls.certificate import OwnCertificates

__all__ = ["OwnCertificates"]
