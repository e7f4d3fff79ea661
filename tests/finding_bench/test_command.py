from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

import bench_matching
from finding_bench.engines import tantivy_terms
from finding_bench.engines.engine import needed


def test_a_run_writes_the_figures_it_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "found.json"
    options = "--lines 150 --per-kind 2 --engines scan ours --plain --keystrokes 2 --json".split()
    monkeypatch.setattr(sys, "argv", ["bench_matching.py", *options, str(file)])
    monkeypatch.setattr("finding_bench.running.weights_for", lambda *_: _default_weights())
    bench_matching.main()
    report = json.loads(file.read_text(encoding="utf-8"))
    (register,) = report["registers"]
    assert [one["engine"] for one in register["engines"]] == [
        "ours",
        "rapidfuzz scan",
        "rapidfuzz scan plain",
    ]
    for one in register["engines"]:
        share = one["one_answer_possible"]["at_5"]
        assert share["low"] <= share["value"] <= share["high"]
        assert share["total"] == register["one_answer_possible"]
    shown = capsys.readouterr().out
    assert "ours less" in shown
    assert "Keys until the line is there" in shown


def test_what_an_engine_lacks_is_said_and_the_others_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def nowhere(_: str, install: str) -> object:
        return needed("a_package_that_is_nowhere", install)

    monkeypatch.setattr(tantivy_terms, "needed", nowhere)
    monkeypatch.setattr(
        sys,
        "argv",
        "bench_matching.py --lines 120 --per-kind 1 --engines tantivy ours".split(),
    )
    monkeypatch.setattr("finding_bench.tuning.LEAST_LINES", 120)
    bench_matching.main()
    shown = capsys.readouterr().out
    assert "tantivy is left out. To install: pip install tantivy" in shown
    assert "measured ours" in shown


def _default_weights() -> object:
    from finding_bench.rerank import Weights

    return Weights()
