"""The laptop's own certificates: an authority that can do little, and what it signs.

The authority may sign for the laptop's own names and the network it stands in and for
nothing else (path length 0, name constraints: RFC 5280, 4.2.1.10), so that a browser that
was told to trust it trusts nobody in other places. The certificate lasts two weeks. Keys
stand in an `Identity`, which whoever calls keeps; times are passed in. Nothing here knows
a record or a socket.
"""

from __future__ import annotations

import hashlib
import ipaddress
import json
import secrets
import ssl
from collections.abc import Collection
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

IPAddress = ipaddress.IPv4Address | ipaddress.IPv6Address

# A clock of a station that is a day slow must still find the certificate valid.
VALID_BEFORE = timedelta(days=2)
# Two weeks in all: an election day with its preparation, and no more for whoever steals it.
VALID_AFTER = timedelta(days=12)
# Made before the setting-up, still there at the end of a recount.
AUTHORITY_VALID_AFTER = timedelta(days=90)
# Renewed while this much is left, so that it does not run out in the middle of a day.
RENEW_BEFORE = timedelta(days=3)

# The network a polling place has: a laptop that is given another address in it stays itself.
NETWORK_BITS = {4: 24, 6: 64}


@dataclass(frozen=True, slots=True)
class Identity:
    """An authority and the certificate it made, as PEM. The keys are in no `repr`."""

    authority: str
    authority_key: str = field(repr=False)
    certificate: str
    key: str = field(repr=False)

    def as_text(self) -> str:
        return json.dumps(asdict(self))

    @classmethod
    def from_text(cls, text: str) -> Identity:
        return cls(**json.loads(text))


def make(names: Collection[str], now: datetime) -> Identity:
    """A new authority and a certificate for `names`: host names and IP addresses, one at least."""
    authority_key = ec.generate_private_key(ec.SECP256R1())
    authority = _authority(authority_key, names, now)
    return _signed(authority, authority_key, names, now)


def renewed(identity: Identity, names: Collection[str], now: datetime) -> Identity:
    """The same where it still serves; else the same authority with a new certificate, or both new.

    Nothing changes while every name is in the certificate and it does not run out soon.
    """
    certificate = x509.load_pem_x509_certificate(identity.certificate.encode())
    if set(names) <= _names_in(certificate) and _lasts(certificate, now, RENEW_BEFORE):
        return identity
    authority = x509.load_pem_x509_certificate(identity.authority.encode())
    if not (_permits(authority, names) and _lasts(authority, now, VALID_AFTER)):
        return make(names, now)
    key = serialization.load_pem_private_key(identity.authority_key.encode(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)  # noqa: S101  # made by `make`
    return _signed(authority, key, names, now)


def fingerprint(certificate: str) -> str:
    """The SHA-256 of the certificate, as browsers show it: 64 capital hexadecimal digits."""
    der = x509.load_pem_x509_certificate(certificate.encode()).public_bytes(
        serialization.Encoding.DER
    )
    return hashlib.sha256(der).hexdigest().upper()


def in_fours(digits: str) -> str:
    """Set apart in fours, to be compared by eye."""
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def server_context(identity: Identity) -> ssl.SSLContext:
    """For a listener: TLS 1.2 and 1.3, this certificate.

    OpenSSL reads a key from a file alone; the one it is given is encrypted under a password
    that lives in this call, and is gone after it.
    """
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    # What is sent under /api is not compressed either: names stand beside what a caller sent.
    context.options |= ssl.OP_NO_COMPRESSION | ssl.OP_NO_RENEGOTIATION
    password = secrets.token_bytes(32).hex()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "certificate.pem"
        path.write_text(_encrypted_key(identity, password) + identity.certificate)
        context.load_cert_chain(path, password=password)
    return context


def client_context(authority: str) -> ssl.SSLContext:
    """For a laptop that follows this one: trusts this authority (PEM) and no other."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_verify_locations(cadata=authority)
    return context


def _authority(
    key: ec.EllipticCurvePrivateKey, names: Collection[str], now: datetime
) -> x509.Certificate:
    usage = x509.KeyUsage(
        digital_signature=False,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=True,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    named = _common_name(f"Tablebook authority {secrets.token_hex(4)}")
    return (
        _begun(named, named, key.public_key(), now, AUTHORITY_VALID_AFTER)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _signed(
    authority: x509.Certificate,
    authority_key: ec.EllipticCurvePrivateKey,
    names: Collection[str],
    now: datetime,
) -> Identity:
    key = ec.generate_private_key(ec.SECP256R1())
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    certificate = (
        _begun(_common_name("Tablebook"), authority.subject, key.public_key(), now, VALID_AFTER)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_general_names(names)), critical=False)
        .add_extension(issuer_key, critical=False)
        .sign(authority_key, hashes.SHA256())
    )
    return Identity(
        authority=_pem(authority),
        authority_key=_key_pem(authority_key),
        certificate=_pem(certificate),
        key=_key_pem(key),
    )


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - VALID_BEFORE)
        .not_valid_after(now + lasts)
    )


def _common_name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _general_names(names: Collection[str]) -> list[x509.GeneralName]:
    ordered = sorted(set(names))
    return [
        x509.DNSName(name) if (address := _address(name)) is None else x509.IPAddress(address)
        for name in ordered
    ]


def _permitted(names: Collection[str]) -> list[x509.GeneralName]:
    """The host names, and the networks of the addresses.

    A kind that is not named at all would be allowed in full, so a name that cannot exist
    (RFC 6761) or an address meant for documentation (RFC 5737, RFC 3849) stands in for it.
    """
    networks = {_network(address) for name in names if (address := _address(name))}
    hosts = {name for name in names if _address(name) is None} or {"none.invalid"}
    versions = {network.version for network in networks}
    if 4 not in versions:
        networks.add(ipaddress.ip_network("192.0.2.0/32"))
    if 6 not in versions:
        networks.add(ipaddress.ip_network("2001:db8::/128"))
    return [
        *(x509.DNSName(host) for host in sorted(hosts)),
        *(x509.IPAddress(network) for network in sorted(networks, key=str)),
    ]


def _permits(authority: x509.Certificate, names: Collection[str]) -> bool:
    permitted = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    values = [general.value for general in permitted.permitted_subtrees or []]
    return all(
        name in values if (address := _address(name)) is None else _network(address) in values
        for name in names
    )


def _network(address: IPAddress) -> ipaddress.IPv4Network | ipaddress.IPv6Network:
    return ipaddress.ip_network(f"{address}/{NETWORK_BITS[address.version]}", strict=False)


def _address(name: str) -> IPAddress | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _names_in(certificate: x509.Certificate) -> set[str]:
    named = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {
        *named.get_values_for_type(x509.DNSName),
        *(str(address) for address in named.get_values_for_type(x509.IPAddress)),
    }


def _lasts(certificate: x509.Certificate, now: datetime, at_least: timedelta) -> bool:
    not_before, not_after = certificate.not_valid_before_utc, certificate.not_valid_after_utc
    return not_before <= now and now + at_least <= not_after


def _pem(certificate: x509.Certificate) -> str:
    return certificate.public_bytes(serialization.Encoding.PEM).decode()


def _key_pem(key: ec.EllipticCurvePrivateKey) -> str:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    ).decode()


def _encrypted_key(identity: Identity, password: str) -> str:
    key = serialization.load_pem_private_key(identity.key.encode(), None)
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(password.encode()),
    ).decode()
