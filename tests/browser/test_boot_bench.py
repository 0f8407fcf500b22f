"""The benchmark itself runs; what it measures is no test, since machines differ."""

import re

import pytest

from tests.browser import bench


@pytest.mark.slow
def test_the_benchmark_prints_a_ratio_for_every_kind_of_start(
    built_app, playwright, tmp_path, capsys, monkeypatch
) -> None:
    monkeypatch.setattr(bench, "DIST", built_app)
    bench.weigh()
    floor = bench.starts(playwright, tmp_path / "starts", bench.request(), rounds=1, slowed=False)
    bench.screen(playwright, tmp_path / "screen", 1, floor)
    printed = capsys.readouterr().out
    for name in bench.STARTS:
        assert re.search(rf"{re.escape(name)}.*ms +ratio \d+\.\d\d", printed)
    assert "one evaluation: median" in printed
    for name in bench.SCREENS:
        assert re.search(rf"{name} +\d+ ms +ratio \d+\.\d\d", printed)
