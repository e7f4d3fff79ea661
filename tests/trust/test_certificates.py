"""The laptop's certificates, parsed, and tried over sockets with Python's own ssl."""

from __future__ import annotations

import socket
import ssl
import threading
from contextlib import closing, suppress
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from app.trust import certificates
from app.trust.certificates import Identity, client_context, server_context

NOW = datetime.now(UTC).replace(microsecond=0)
NAMES = ("127.0.0.2", "tablebook.test")


@pytest.fixture(scope="module")
def identity() -> Identity:
    return certificates.make(NAMES, NOW)


def shake_hands(server: ssl.SSLContext, client: ssl.SSLContext, name: str) -> str:
    """The protocol that both agree on over a real socket; ssl.SSLError where they do not."""
    with closing(socket.create_server(("127.0.0.1", 0))) as listener:

        def answer() -> None:
            peer, _ = listener.accept()
            with peer, suppress(OSError):
                server.wrap_socket(peer, server_side=True).close()

        thread = threading.Thread(target=answer)
        thread.start()
        try:
            with (
                socket.create_connection(listener.getsockname(), timeout=10) as plain,
                client.wrap_socket(plain, server_hostname=name) as secure,
            ):
                return secure.version() or ""
        finally:
            thread.join()


@pytest.mark.parametrize("name", NAMES)
def test_a_client_that_trusts_the_authority_is_served_under_each_name(
    identity: Identity, name: str
) -> None:
    assert (
        shake_hands(server_context(identity), client_context(identity.authority), name) == "TLSv1.3"
    )


def test_another_name_is_refused_by_the_client(identity: Identity) -> None:
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shake_hands(server_context(identity), client_context(identity.authority), "other.test")


def test_a_second_authority_in_the_middle_is_refused(identity: Identity) -> None:
    middle = certificates.make(NAMES, NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(server_context(middle), client_context(identity.authority), NAMES[0])


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1])
@pytest.mark.filterwarnings("ignore:ssl.TLSVersion:DeprecationWarning")
def test_old_versions_of_tls_are_refused_by_the_server(
    identity: Identity, version: ssl.TLSVersion
) -> None:
    client = client_context(identity.authority)
    client.minimum_version = ssl.TLSVersion.TLSv1
    client.maximum_version = version
    client.set_ciphers("DEFAULT:@SECLEVEL=0")
    with pytest.raises(ssl.SSLError, match="protocol version"):
        shake_hands(server_context(identity), client, NAMES[0])


@pytest.mark.filterwarnings("ignore:ssl.TLSVersion:DeprecationWarning")
def test_the_old_client_of_these_tests_would_be_served_by_a_lax_server(identity: Identity) -> None:
    server = server_context(identity)
    server.minimum_version = ssl.TLSVersion.TLSv1
    server.set_ciphers("DEFAULT:@SECLEVEL=0")
    client = client_context(identity.authority)
    client.minimum_version = ssl.TLSVersion.TLSv1
    client.maximum_version = ssl.TLSVersion.TLSv1_1
    client.set_ciphers("DEFAULT:@SECLEVEL=0")
    assert shake_hands(server, client, NAMES[0]) == "TLSv1.1"


def test_the_authority_can_sign_for_its_own_names_and_network_alone(identity: Identity) -> None:
    authority = x509.load_pem_x509_certificate(identity.authority.encode())
    basic = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert [str(general.value) for general in limits.value.permitted_subtrees or []] == [
        "tablebook.test",
        "127.0.0.0/24",
        "2001:db8::/128",
    ]


def test_what_the_authority_signs_for_somebody_else_is_worth_nothing(identity: Identity) -> None:
    authority = x509.load_pem_x509_certificate(identity.authority.encode())
    key = serialization.load_pem_private_key(identity.authority_key.encode(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    stolen = certificates._signed(authority, key, ["bank.test", "198.51.100.7"], NOW)
    for name in ("bank.test", "198.51.100.7"):
        with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
            shake_hands(server_context(stolen), client_context(identity.authority), name)


def test_the_certificate_lasts_two_weeks_and_began_two_days_ago(identity: Identity) -> None:
    leaf = x509.load_pem_x509_certificate(identity.certificate.encode())
    assert leaf.not_valid_before_utc == NOW - timedelta(days=2)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=14)
    leaf.verify_directly_issued_by(x509.load_pem_x509_certificate(identity.authority.encode()))


def test_nothing_is_made_anew_while_the_certificate_serves(identity: Identity) -> None:
    assert certificates.renewed(identity, NAMES, NOW + timedelta(days=8)) is identity
    kept = Identity.from_text(identity.as_text())
    assert certificates.fingerprint(kept.certificate) == certificates.fingerprint(
        identity.certificate
    )


def test_another_address_in_the_same_network_keeps_the_authority(identity: Identity) -> None:
    moved = certificates.renewed(identity, ["127.0.0.9"], NOW)
    assert (moved.authority, moved.certificate == identity.certificate) == (
        identity.authority,
        False,
    )
    assert shake_hands(server_context(moved), client_context(identity.authority), "127.0.0.9")


@pytest.mark.parametrize("names", [["10.0.0.4"], ["elsewhere.test"]])
def test_another_network_or_name_needs_another_authority(
    identity: Identity, names: list[str]
) -> None:
    assert certificates.renewed(identity, names, NOW).authority != identity.authority


@pytest.mark.parametrize("days", [-3, 10, 80, 400])
def test_a_certificate_that_runs_out_or_has_not_begun_is_made_anew(
    identity: Identity, days: int
) -> None:
    now = NOW + timedelta(days=days)
    fresh = certificates.renewed(identity, NAMES, now)
    assert fresh.certificate != identity.certificate
    assert (fresh.authority == identity.authority) == (days == 10)


def test_keys_are_never_printed_and_the_fingerprint_is_set_in_fours(identity: Identity) -> None:
    assert "PRIVATE" not in repr(identity)
    groups = certificates.in_fours(certificates.fingerprint(identity.certificate)).split()
    assert [len(group) for group in groups] == [4] * 16


def test_no_key_is_left_on_the_disk(
    identity: Identity, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path_factory.mktemp("temporary")
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr("tempfile.tempdir", None)
    server_context(identity)
    assert list(folder.iterdir()) == []
