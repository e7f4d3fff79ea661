"""What the page's files may and may not hold: no build, nothing inline, nothing from elsewhere."""

from __future__ import annotations

import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

FRONTEND = Path(__file__).parents[2] / "frontend"
ADDRESS = r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}[^\s'\"]*"
# Where a name could outlive the page: other stores, the history, the address, the title.
# To load the page anew, or to go to it from the one that joins, tells no address anything.
PLACES = (
    r"sessionStorage|indexedDB|document\.cookie|document\.title|history\.(?:push|replace)State"
    r"|\blocation\.(?!reload\(\)|replace\('/'\))\w+"
)

# That it is a practice day stands in the title: one fixed sentence, and nothing of anybody.
MAY_USE = {"practice_mark.js": {"document.title"}, "voter_page.js": {"document.title"}}


NODE = shutil.which("node")


def unreadable(script: Path) -> str:
    """What Node says of a script that it cannot parse as a module, blank where it can."""
    command = [str(NODE), "--input-type=module", "--check", "-"]
    done = subprocess.run(
        command, input=text(script), capture_output=True, text=True, timeout=60, check=False
    )
    return f"{script.name}: {done.stderr}" if done.returncode else ""


def text(file: Path) -> str:
    return file.read_text(encoding="utf-8")


def scripts(folder: str = "") -> list[Path]:
    return sorted((FRONTEND / folder).rglob("*.js"))


def without_comments(script: str) -> str:
    return re.sub(r"/\*.*?\*/|^\s*//[^\n]*$", "", script, flags=re.DOTALL | re.MULTILINE)


@pytest.mark.parametrize("name", ["index.html", "voter.html"])
def test_the_page_itself_has_no_script_or_style_inside(name: str) -> None:
    page = text(FRONTEND / name)
    assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []
    assert re.findall(r"<style|\sstyle=|\son[a-z]+=", page) == []


def test_everything_is_loaded_from_this_server() -> None:
    for file in FRONTEND.rglob("*"):
        if file.is_file():
            addresses = set(re.findall(ADDRESS, text(file)))
            assert addresses <= {"http://www.w3.org/2000/svg"}, file.name


@pytest.mark.parametrize("script", scripts("logic"), ids=lambda script: script.stem)
def test_the_logic_knows_no_page_no_network_no_clock_and_no_storage(script: Path) -> None:
    forbidden = (
        r"\b(document|window|navigator|fetch|localStorage|sessionStorage|setTimeout|setInterval"
        r"|performance|crypto|EventSource|Math\.random|Date\.now)\b|new Date\(\)"
    )
    assert re.findall(forbidden, without_comments(text(script))) == []


@pytest.mark.parametrize("script", scripts("acts"), ids=lambda script: script.stem)
def test_the_acts_get_server_clock_and_page_from_the_controller_alone(script: Path) -> None:
    forbidden = (
        r"\b(fetch|document|localStorage|performance|crypto|EventSource|Date\.now)\b|elements/"
    )
    assert re.findall(forbidden, without_comments(text(script))) == []


@pytest.mark.parametrize("script", scripts("elements"), ids=lambda script: script.stem)
def test_the_elements_neither_ask_the_server_nor_write_markup(script: Path) -> None:
    forbidden = (
        r"\b(fetch|EventSource|XMLHttpRequest|localStorage|innerHTML|outerHTML"
        r"|insertAdjacentHTML|document\.write|cssText)\b|\.style\b|api\.js"
    )
    assert re.findall(forbidden, without_comments(text(script))) == []


def test_the_controller_alone_talks_to_the_server() -> None:
    users = [script.name for script in scripts() if "./api.js'" in text(script)]
    assert users == ["controller.js"]


def test_only_station_language_cover_and_where_the_log_ended_are_ever_stored() -> None:
    kept = re.findall(r"localStorage\.setItem\('(\w+)'", text(FRONTEND / "controller.js"))
    assert set(kept) == {"station", "language", "covered", "head"}
    for script in scripts():
        places = set(re.findall(PLACES, without_comments(text(script))))
        assert places - MAY_USE.get(script.name, set()) == set(), script.name


def test_the_voters_window_may_ask_no_server_and_brings_no_script_that_could() -> None:
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text(FRONTEND / "voter.html"))
    assert policy
    assert "default-src 'none'" in policy.group(1)
    assert "connect-src" not in policy.group(1)
    brought, todo = set[Path](), [FRONTEND / "voter_page.js"]
    while todo:
        script = todo.pop().resolve()
        if script not in brought:
            brought.add(script)
            names = re.findall(r"(?:from|import) '(\.[^']+)'", text(script))
            todo += [script.parent / name for name in names]
    assert {script.name for script in brought} == {
        "voter_page.js",
        "voter_view.js",
        "paint.js",
        "signature_pad.js",
        "strokes.js",
    }
    asking = r"\b(fetch|EventSource|XMLHttpRequest|sendBeacon|localStorage|BroadcastChannel)\b"
    for script in brought:
        assert re.findall(asking, without_comments(text(script))) == [], script.name


def test_no_two_scripts_import_each_other() -> None:
    imports = {
        script: {
            (script.parent / name).resolve()
            for name in re.findall(r"from '(\.[^']+)'", text(script))
        }
        for script in scripts()
    }
    done: set[Path] = set()
    while ready := {s for s in imports if s not in done and imports[s] <= done}:
        done |= ready
    assert set(imports) - done == set()


def test_every_part_has_its_script_and_its_stylesheet_and_the_page_itself_only_its_own() -> None:
    parts = text(FRONTEND / "parts.js")
    modules = re.findall(r"import\('\./([^']+)'\)", parts)
    sheets = re.findall(r"stylesheet: '/([^']+)'", parts)
    assert sorted(modules) == [f"parts/{file.name}" for file in scripts("parts")]
    assert all((FRONTEND / name).is_file() for name in [*modules, *sheets])
    own = ("index.html", "voter.html", "join.html")
    both = "".join(text(FRONTEND / name) for name in own)
    page = set(re.findall(r'rel="stylesheet" href="/([^"]+)"', both))
    styles = {f"styles/{file.name}" for file in (FRONTEND / "styles").glob("*.css")}
    assert page | set(sheets) == styles
    assert page & set(sheets) == set()


@pytest.mark.skipif(NODE is None, reason="Node is not installed: no script is parsed here")
def test_every_script_of_the_page_parses() -> None:
    # A script that does not parse leaves the whole page blank, and no test of the logic loads it.
    with ThreadPoolExecutor(4) as pool:
        assert [told for told in pool.map(unreadable, scripts()) if told] == []


@pytest.mark.skipif(NODE is None, reason="Node is not installed: no script is parsed here")
@pytest.mark.parametrize("broken", ["export const a = {;\n", "import { h from './paint.js';\n"])
def test_a_script_that_does_not_parse_is_told_by_its_name(tmp_path: Path, broken: str) -> None:
    script = tmp_path / "broken.js"
    script.write_text(broken, encoding="utf-8")
    assert unreadable(script).startswith("broken.js: ")
