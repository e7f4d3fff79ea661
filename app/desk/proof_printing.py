"""The printed proof of a list on paper: what log and kept rows say, as facts of the page."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from app.desk.late_views import RowView
from app.desk.paper_proof import Proof, read_proof
from app.desk.roster import Roster
from app.papers.list_proof import ListProof, ProofRow, Settlement, Stamp, TakenBack, list_proof
from app.papers.words import Language
from app.records.clock import from_text
from app.records.entry import Entry
from app.rules.line import name_last_first


def print_proof(roster: Roster, list_id: str, language: Language) -> bytes:
    """The pages, a PDF, of a list as it stands now; raises as `read_proof` does."""
    zone = ZoneInfo(roster.setting.election.time_zone)
    return list_proof(roster.setting, facts_of(read_proof(roster, list_id), zone), language)


def facts_of(proof: Proof, zone: ZoneInfo) -> ListProof:
    """What is printed. Who did what when is the log's; names are those of the kept rows."""
    kept = proof.kept
    finished = proof.finished
    return ListProof(
        name=kept.name,
        kind=kept.kind,
        printed_total=proof.started.body["printed_total"],
        begun=_stamp(proof.started, zone),
        finished=_stamp(finished, zone) if finished else None,
        reason=finished.body["reason"] if finished else "",
        is_dropped=kept.status == "dropped",
        rows=tuple(
            _row(proof, row, entry, zone)
            for row, entry in zip(proof.rows, proof.keyed, strict=True)
        ),
        keyed_by=proof.initials,
        first_seq=proof.started.seq,
        last_seq=proof.last_seq,
        head_seq=proof.head.seq,
        head_hash=proof.head.hash,
    )


def _row(proof: Proof, shown: RowView, keyed: Entry, zone: ZoneInfo) -> ProofRow:
    number = keyed.body["row_number"]
    row, settled, undone = shown.row, proof.settled.get(number), proof.undone.get(number)
    return ProofRow(
        row_number=number,
        voter_number=row.voter_number,
        name=name_last_first(row.last_name, row.first_name, row.middle_name, row.suffix),
        keyed=keyed.body["effect"],
        by=_stamp(keyed, zone),
        is_twice=keyed.body["twice"],
        contradiction=shown.proposal.contradiction.code if shown.proposal.contradiction else "",
        settlement=_settlement(settled, zone) if settled else None,
        taken_back=TakenBack(undone.body["reason"], _stamp(undone, zone)) if undone else None,
    )


def _settlement(entry: Entry, zone: ZoneInfo) -> Settlement:
    return Settlement(entry.body["how"], entry.body["reason"], _stamp(entry, zone))


def _stamp(entry: Entry, zone: ZoneInfo) -> Stamp:
    return Stamp(from_text(entry.at).astimezone(zone), entry.initials)
