"""The columns of a register: what a package has, an export writes again and reading knows."""

# As in a package, in its order.
REGISTER_COLUMNS = (
    "voter_number",
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "birth_date",
    "mothers_maiden_name",
    "street_address",
    "city",
    "postal_code",
    "party",
    "ballot_button",
    "assistance",
    "address_confirmation",
    "mark",
    "mark_initials",
    "inactive",
    "first_time_by_mail",
    "address_protected",
)
# What an exported register says of its lines besides. Reading passes it over: who signed is for
# the log to say.
STANDING_COLUMNS = (
    "standing",
    "marks",
    "signed_how",
    "signed_at",
    "signed_station",
    "signed_initials",
    "left_at",
    "removed_at",
    "envelope",
    "corrected",
)
