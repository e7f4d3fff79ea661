"""A row of a supplemental list to the line that it adds to the register."""

from __future__ import annotations

from app.intake.late_rows import LateRow
from app.rules.faults import BadRequest
from app.rules.line import Part, PrintedLine


def printed_line(row: LateRow) -> PrintedLine:
    """The line to add. Raises `BadRequest` for a row with faults: it may lack what a line needs."""
    if row.faults or row.birth_date is None:
        raise BadRequest(field="row", expected="a row of a supplemental list without faults")
    details = row.details
    button = details.get("ballot_button", "")
    return PrintedLine(
        voter_number=row.voter_number,
        last_name=row.last_name,
        first_name=row.first_name,
        birth_date=row.birth_date,
        middle_name=row.middle_name,
        suffix=row.suffix,
        mothers_maiden_name=details.get("mothers_maiden_name", ""),
        street_address=details.get("street_address", ""),
        city=details.get("city", ""),
        postal_code=details.get("postal_code", ""),
        party=details.get("party", ""),
        ballot_button=int(button) if button else None,
        assistance=bool(details.get("assistance")),
        address_confirmation=bool(details.get("address_confirmation")),
        inactive=bool(details.get("inactive")),
        first_time_by_mail=bool(details.get("first_time_by_mail")),
        address_protected=bool(details.get("address_protected")),
        part=Part.SUPPLEMENTAL,
    )
