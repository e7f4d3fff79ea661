"""The words of the page: every language whole, every key used, every code of the rules told."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from app.api.words import WordsInParts
from app.intake import fault_codes
from app.matching import reasons as why_reasons
from app.records.bodies import BODY_OF_KIND
from app.records.bodies_lists import IrregularityKind
from app.records.bodies_stations import Refusal
from app.rules import catching_up, machine_readings, seals
from app.rules.attention import Need
from app.rules.cause_weights import PRIOR
from app.rules.checklists import SHIPPED
from app.rules.late_list import _PAPER_AND, Effect, ListKind
from app.rules.late_sentences import LATE_SENTENCES
from app.rules.paper_ballots import COUNTED
from app.rules.phone_change import DETAILS, ChangeCode
from app.rules.policy import Policy
from app.rules.seals import SealAct, SealOf
from app.rules.sentences import SENTENCES
from app.rules.verdict import OPTIONS_AFTER, Outcome
from app.rules.ways_out import Situation

FRONTEND = Path(__file__).parents[2] / "frontend"
LANGUAGES = ("en", "es")
STEPS = {
    "in-line-at-cut-off",
    "tell-apart",
    "affirm-address",
    "ask-moved",
    "identification",
    "address-confirmation",
    "assistance",
}
PROBLEMS = {
    "not-found",
    "not-signed-on",
    "not-allowed",
    "wrong-pin",
    "pin-locked",
    "token-reused",
    "token-missing",
    "bad-request",
    "birth-date-unreadable",
    "day-not-loaded",
    "outcome-unknown",
    "nothing-to-withdraw",
    "nothing-to-record",
    "wrong-host",
    "wrong-origin",
    "too-large",
    "step-missing",
    "turn-out-of-order",
    "storage-refused",
    "unexpected",
    "not-provided-for",
    "already-on-a-line",
    "envelope-used",
    "ordinary-ballot-due",
    "provisional-not-offered",
    "helper-not-allowed",
    "list-unreadable",
    "list-applied-already",
    "list-dropped",
    "list-finished",
    "keyed-already",
    "totals-differ",
    "nothing-to-settle",
    "row-cannot-be-added",
    "read-back-differs",
    "code-missing",
    "code-unreadable",
    "code-misheard",
    "code-wrong",
    "code-used-already",
    "code-locked",
    "line-in-use",
}
# These read the settings of a package, and a list has none.
OF_SETTINGS = {"election", "toml_keys"}
# In the list of the other precincts alone.
ONLY_ELSEWHERE = {"birth-year-unreadable", "birth-year-unlikely"}
# The ways that stand only at the end of a path, besides those after a refusal.
WAYS_OUT = {"direct-elsewhere", "registration-form", "correction-affidavit", "write-down-why"}
# What is doubted about a counter or a seal, and what the program writes up itself at a turn.
DOUBTS = {
    code
    for module in (machine_readings, seals)
    for code in re.findall(
        r'Doubt\(\s*"([a-z-]+)"', Path(str(module.__file__)).read_text(encoding="utf-8")
    )
} | {"reading-differs", "check-failed", "opened-before-ready", "closed-with-difference"}
DOUBTS |= {"record-is-older", "stations-not-served"}
# What is written up of hours on paper.
OF_PAPER = {"paper-newer", "paper-on-no-line", "steps-not-on-paper"}
# What is odd about a row of paper as well.
ON_PAPER = (
    set(re.findall(r'Doubt\("([a-z-]+)"', Path(catching_up.__file__).read_text(encoding="utf-8")))
    | OF_PAPER
)
PAPER_PROBLEMS = {
    "paper-begun-already",
    "paper-newer",
    "paper-time-wrong",
    "no-paper-hour",
    "paper-does-not-agree",
    "nothing-to-settle",
}
TURN_KINDS = {"day.opened", "line.cut_off", "day.closed", "hours.extended"}


def words(language: str) -> dict[str, Any]:
    sections = json.loads((FRONTEND / "words" / f"{language}.json").read_text(encoding="utf-8"))
    return {
        f"{section}.{name}": template
        for section, templates in sections.items()
        for name, template in templates.items()
    }


def sections() -> set[str]:
    return {key.split(".")[0] for key in words("en")}


def scripts() -> str:
    return "\n".join(file.read_text(encoding="utf-8") for file in FRONTEND.rglob("*.js"))


def parts() -> dict[str, list[str]]:
    """Which sections each part of the page needs, what is needed from the start first."""
    return WordsInParts(FRONTEND / "words").sections("en")


def keys_of_the_join_page() -> set[str]:
    """What it shows stands in its HTML; a code that the server sends is looked up as it came."""
    html = (FRONTEND / "join.html").read_text(encoding="utf-8")
    script = (FRONTEND / "join.js").read_text(encoding="utf-8")
    shown = re.findall(r'data-words="([a-z-]+)"', html) + re.findall(r"words\.([a-z]+)", script)
    refused = {"code-missing", "station-missing", "unreachable", "join-code-wrong"}
    return {
        f"join.{name}" for name in {*shown, *refused, "already-there", "bad-request", "too-many"}
    }


def test_the_join_page_has_words_for_all_that_it_shows_and_no_others() -> None:
    assert keys_of_the_join_page() == {key for key in words("en") if key.startswith("join.")}


def keys_named(text: str | None = None) -> set[str]:
    """Every literal in the scripts that begins with a section of the words."""
    literals = re.findall(r"'([a-z]+(?:-[a-z]+)?\.[a-z_][a-z_-]*)'", text or scripts())
    return {key for key in literals if key.split(".")[0] in sections()}


def families_named(text: str | None = None) -> set[str]:
    """Every `section.` or `section.beginning-` that a code is put behind."""
    text = text or scripts()
    built = set(re.findall(r"`([a-z-]+\.[a-z-]*)\$\{", text))
    chosen = {f"{family}." for family in re.findall(r"known\(say, '([a-z]+)'", text)}
    spoken = {f"{family}." for family in re.findall(r"sentenceOf\(say, '([a-z]+)'", text)}
    return built | chosen | spoken


def facts_of(template: Any) -> set[str]:
    forms = [template] if isinstance(template, str) else template.values()
    return {fact for form in forms for fact in re.findall(r"\{(\w+)\}", form)}


def test_every_language_has_the_same_keys_in_the_same_order() -> None:
    assert list(words("en")) == list(words("es"))


def test_every_language_tells_the_same_facts() -> None:
    # A plural form may say "one" in words, so only the whole table is compared.
    english, spanish = words("en"), words("es")
    assert {k: facts_of(v) for k, v in english.items()} == {
        k: facts_of(v) for k, v in spanish.items()
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_left_without_words(language: str) -> None:
    for key, template in words(language).items():
        forms = [template] if isinstance(template, str) else list(template.values())
        assert all(form.strip() for form in forms), key
        assert isinstance(template, str) or set(template) == {"one", "other"}, key


def test_every_key_that_the_page_names_has_words() -> None:
    named = keys_named()
    assert len(named) > 80
    assert named - set(words("en")) == set()


def test_no_words_are_left_unused() -> None:
    named, families = keys_named(), tuple(families_named())
    assert {"reason.", "option.", "step.", "outcome.", "problem."} <= set(families)
    named |= keys_of_the_join_page()
    assert [key for key in words("en") if key not in named and not key.startswith(families)] == []


@pytest.mark.parametrize(
    ("family", "codes"),
    [
        ("outcome", {outcome.value for outcome in Outcome}),
        ("reason", set(OPTIONS_AFTER)),
        ("step", STEPS),
        ("option", {code for codes in OPTIONS_AFTER.values() for code in codes} | WAYS_OUT),
        ("take-back", TURN_KINDS),
        ("went", {"elsewhere", "registration_form", "left"}),
        ("kept", {"ordinary", "extended_hours"}),
        ("how", {"phone", "in_person", "writing"}),
        ("helper", {"other", "employer_or_union"}),
        ("why-withdrawn", {"wrong_line", "spoiled", "other"}),
        ("problem", PROBLEMS),
        ("list-kind", {kind.value for kind in ListKind}),
        ("will", {kind.value for kind in ListKind}),
        ("list-state", {"draft", "applied", "keying", "finished", "dropped"}),
        ("effect", {effect.value for effect in Effect}),
        ("decided", {"line", "add", "refuse", "undone"}),
        ("standing", {"open", "signed", "marked", "removed"}),
        ("change", {code.value for code in ChangeCode} - {"authorise_affidavit"}),
        ("will-change", {code.value for code in ChangeCode}),
        ("detail", set(DETAILS)),
        ("irregularity", set(get_args(IrregularityKind))),
        ("about", set(get_args(IrregularityKind))),
        ("on-line", {"signed", "marked", "removed", "provisional", "line"}),
        ("check", {item.code for item in SHIPPED}),
        ("cause", set(PRIOR)),
        ("doubt", DOUBTS),
        ("doubt", ON_PAPER),
        ("contradiction", set(_PAPER_AND.values())),
        ("paper-step", STEPS),
        ("hours-said", {*get_args(catching_up.Effect), "undone"}),
        ("hours-became", {*get_args(catching_up.Effect), "undone"} - {"signed"}),
        ("hours-wrong", PAPER_PROBLEMS),
        ("seal-of", set(get_args(SealOf))),
        ("seal-act", set(get_args(SealAct))),
        ("count", set(COUNTED)),
        ("turn", {"open", "cut-off", "close"}),
        ("turn-means", {"open", "cut-off", "close"}),
        ("turn-refused", {"opening-not-ready", "does-not-balance"}),
        ("phase", {"not_open", "open", "cut_off", "closed"}),
        ("role", {"worker", "lead", "registrar"}),
        ("door", set(get_args(Refusal))),
        ("part", {"supplemental", "affidavit"}),
        ("steps", {"month_first", "day_first"}),
        ("short", STEPS | {"already-signed", "voted-by-mail", "voted-early", "removed"}),
    ],
)
def test_every_code_has_words(family: str, codes: set[str]) -> None:
    assert {f"{family}.{code}" for code in codes} <= set(words("en"))


def test_the_rules_say_no_code_that_the_page_has_no_words_for() -> None:
    families = ("reason", "step", "option", "question", "flag", "because")
    told = {f"{family}.{code}" for family in families for code in SENTENCES}
    known = {key.split(".", 1)[1] for key in told & set(words("en"))}
    assert set(SENTENCES) - known == set()


def test_every_code_of_a_late_list_is_told_in_both_languages() -> None:
    told = {
        key.split(".", 1)[1] for key in words("en") if key.startswith(("row.", "contradiction."))
    }
    assert set(LATE_SENTENCES) - told == set()


def modules_behind(module: str) -> set[str]:
    """The modules of intake that reading with `module` can run through."""
    behind: set[str] = set()
    todo = [module]
    while todo:
        name = todo.pop()
        if name not in behind | OF_SETTINGS:
            behind.add(name)
            todo += re.findall(r"^from app\.intake\.(\w+) import", source(name), re.MULTILINE)
    return behind


def source(module: str) -> str:
    return (Path(fault_codes.__file__).parent / f"{module}.py").read_text(encoding="utf-8")


def test_every_fault_that_a_late_list_can_have_is_told_in_both_languages() -> None:
    behind = modules_behind("late_lists")
    assert {"late_rows", "late_workbook", "late_text", "cells"} <= behind
    named = {
        name for module in behind for name in re.findall(r"\bCode\.([A-Z0-9_]+)", source(module))
    }
    codes = {fault_codes.Code[name].value for name in named} - ONLY_ELSEWHERE
    assert len(codes) > 40
    for language in LANGUAGES:
        told = {key.split(".", 1)[1] for key in words(language) if key.startswith("fault.")}
        assert told == codes


def test_no_fault_is_told_in_english_on_a_spanish_page() -> None:
    english, spanish = words("en"), words("es")
    assert [
        key for key in english if key.startswith("fault.") and english[key] == spanish[key]
    ] == []


def test_every_answer_on_the_way_out_has_words_to_choose_it_and_to_tell_it_later() -> None:
    hints = get_type_hints(Situation)
    answers = {
        f"{field}-{_as_text(value)}" for field, hint in hints.items() for value in _values_of(hint)
    }
    assert len(answers) > 10
    for family in ("answer", "so-far"):
        assert {f"{family}.{answer}" for answer in answers} == {
            key for key in words("en") if key.startswith(f"{family}.")
        }


def test_every_reason_for_a_provisional_ballot_can_be_written_down() -> None:
    offered = {code for code, ways in OPTIONS_AFTER.items() if "provisional-ballot" in ways}
    without_a_line = {"not-on-a-list", "registered-elsewhere", "extended-hours"}
    codes = offered | without_a_line | {"challenged"}
    assert {f"because.{code}" for code in codes} <= set(words("en"))


def _values_of(hint: Any) -> list[Any]:
    """The answers that a field of the situation may hold, besides none yet."""
    parts = [part for part in get_args(hint) if part is not type(None)]
    if bool in parts:
        return [True, False]
    return [value for part in parts for value in get_args(part)]


def _as_text(value: Any) -> str:
    """As the page writes it: `true`, not `True`."""
    return str(value).lower() if isinstance(value, bool) else str(value)


def test_every_entry_that_touches_a_line_has_words() -> None:
    of_a_line = {
        kind
        for kind in BODY_OF_KIND
        if kind.split(".")[0]
        in {"signature", "mark", "address", "assistance", "voter", "form", "person", "provisional"}
        | {"phone_in", "irregularity"}
    }
    assert of_a_line
    assert {f"entry.{kind}" for kind in of_a_line} <= set(words("en"))


def test_every_reason_for_a_match_can_be_told_in_spanish() -> None:
    codes = set(
        re.findall(r'Why\(\s*"([a-z-]+)"', Path(why_reasons.__file__).read_text(encoding="utf-8"))
    )
    assert len(codes) > 10
    composed = {"maiden-same"}
    assert {f"why.{code}" for code in codes - composed} <= set(words("es"))


def test_the_caution_that_is_translated_is_the_one_of_the_rules() -> None:
    found = re.search(r"USUAL_CAUTION =\s*'([^']+)'", scripts())
    assert found
    assert found.group(1) == Policy().caution == words("en")["sheet.caution"]


def test_the_affirmation_that_is_translated_is_the_one_of_the_rules() -> None:
    found = re.search(r"USUAL_AFFIRMATION =\s*'([^']+)'", scripts())
    assert found
    assert found.group(1) == Policy().voter_affirmation == words("en")["voter.affirmation"]


def test_every_need_of_the_lead_has_a_sentence_and_the_page_knows_it() -> None:
    assert {f"attention.{need.value}" for need in Need} | {"attention.other"} == {
        key for key in words("en") if key.startswith("attention.")
    }
    known = re.search(r"KNOWN = new Set\(\[(.*?)\]", scripts(), re.DOTALL)
    assert known
    assert set(re.findall(r"'([^']+)'", known.group(1))) == {need.value for need in Need}


def test_what_an_irregularity_was_opened_for_is_said_with_the_facts_that_are_told() -> None:
    table = re.search(r"OPENED_FOR = new Set\(\[(.*?)\]", scripts(), re.DOTALL)
    assert table
    codes = set(re.findall(r"'([^']+)'", table.group(1)))
    assert codes == DOUBTS | OF_PAPER
    sentences = {key: text for key, text in words("en").items() if key.startswith("opened-for.")}
    assert set(sentences) == {f"opened-for.{code}" for code in codes}
    assert set().union(*map(facts_of, sentences.values())) == {"name"}


def test_the_documents_that_are_translated_are_those_of_the_rules() -> None:
    table = re.search(r"USUAL_KINDS = \{(.*?)\};", scripts(), re.DOTALL)
    assert table
    assert tuple(re.findall(r"'([^']+)': 'kind\.", table.group(1))) == Policy().identification_kinds


def loaded_with(script: str, seen: set[Path] | None = None) -> set[Path]:
    """The scripts that come with this one, itself among them."""
    seen = set() if seen is None else seen
    file = (FRONTEND / script).resolve()
    if file not in seen:
        seen.add(file)
        for name in re.findall(r"(?:from|import) '(\.[^']+)'", file.read_text(encoding="utf-8")):
            loaded_with(str(file.parent / name), seen)
    return seen


def sections_named(files: set[Path]) -> set[str]:
    named = "\n".join(file.read_text(encoding="utf-8") for file in files)
    families = {family.split(".")[0] for family in families_named(named)}
    return (families | {key.split(".")[0] for key in keys_named(named)}) & sections()


# Each part stands on those before it: see `needs` in parts.js.
@pytest.mark.parametrize(
    ("script", "at_hand"),
    [
        ("controller.js", ("table",)),
        ("parts/way.js", ("table", "way")),
        ("parts/lead.js", ("table", "way", "lead")),
        ("parts/day.js", ("table", "way", "lead", "day")),
        ("parts/paper_hours.js", ("table", "way", "lead", "paper_hours")),
        ("parts/now.js", ("table", "now")),
        ("parts/stations.js", ("table", "now", "stations")),
        ("parts/voter.js", ("table", "voter")),
        ("parts/standby.js", ("table", "way", "lead", "standby")),
        ("parts/practice.js", ("table", "practice")),
        ("parts/cover.js", ("table", "cover")),
    ],
)
def test_nothing_is_shown_for_which_another_part_has_the_words(
    script: str, at_hand: tuple[str, ...]
) -> None:
    named = sections_named(loaded_with(script))
    assert len(named) > 5
    assert named - {section for part in at_hand for section in parts()[part]} == set()


def test_the_parts_of_the_words_are_those_of_the_page() -> None:
    fetched = re.findall(
        r"^  (\w+): \{", (FRONTEND / "parts.js").read_text(encoding="utf-8"), re.MULTILINE
    )
    # The page that joins is no part of the page: it asks for its words itself.
    assert list(parts()) == ["table", *fetched, "join"]
