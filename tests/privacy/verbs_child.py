"""Runs every verb in a watched process whose umask takes nothing; tells as JSON what came of it.

``python tests/privacy/verbs_child.py WORK OUTLINE``: what they write goes to WORK/home.
"""

import json
import os
import sys
from datetime import date
from pathlib import Path

from tests.plan.taken.file_factories import docx, paragraph
from tests.privacy.watched import Watch, open_to_others


def commands(out: Path, data: Path, outline: Path, with_qt: bool) -> list[list[object]]:
    """One call of each verb at least, each option that writes among them."""
    script, past = out / "script.txt", out / "past.csv"
    script.write_text("start 9:00\n0:30 next done\n1:00 look\n")
    script.chmod(0o600)
    past.write_text("date,phase,kind,planned_s,actual_s,ending\n2026-03-02,Review,review,180,200,done\n")
    past.chmod(0o600)
    past_docx = out / "canary.docx"
    past_docx.write_bytes(docx(paragraph("Warm-up 5") + paragraph("Review 3")))
    past_docx.chmod(0o600)
    week = out / "week.toml"
    week.write_bytes(outline.read_bytes())
    week.chmod(0o600)
    here = ["--data-dir", data]
    called: list[list[object]] = [
        ["check", outline], ["schema"], ["replay", outline, script, "--json"], ["log", "import", past, *here],
        ["log", *here], ["log", "1", *here], ["log", "--json", *here], ["read", past_docx],
        ["read", past_docx, "--json"], ["rotation", "--groups", "4", "--stations", "4"],
        ["rotation", week, "--write"], ["restore", "--list", *here], ["restore", "2026-03-08", *here],
        ["budgets", *here], ["backtest", "--json", *here],
        ["replay", outline, script, "--history", data], ["report", "--demo", *here],
        ["report", "--demo", "--csv", out / "phases.csv", *here],
        ["report", "--demo", "--csv", f"{out}/tables/", *here],
        ["report", "--demo", "--csv", f"{out}/tables/", "--force", *here],
    ]  # fmt: skip
    if with_qt:
        called += [
            ["card", outline, "--pdf", out / "card.pdf"], ["card", "--squares", "--pdf", out / "squares.pdf"],
            ["card", outline, "--pdf", out / "card.pdf", "--force"],
            ["picture", outline, "--at", "1:00", "--wall", out / "w.png", "--desk", out / "d.png"],
            ["report", "--demo", "--pdf", out / "coach.pdf", *here], ["--demo"],
        ]  # fmt: skip
    return called


def begin(work: Path, outline: Path) -> None:
    """Call them all, one after the other."""
    watch = Watch()
    os.umask(0)
    from pacer.__main__ import main
    from pacer.log.backups import copy_today
    from pacer.log.database import FILE_NAME
    from pacer.log.day_records import DayRecords
    from pacer.verbs.display import qt_complaint
    from pacer.verbs.headless_demo import load_demo_outlines
    from pacer.verbs.invented_days import write_invented_days

    home = work / "home"
    out, data = home / "out", home / "new" / "data"
    out.mkdir(0o700)
    with DayRecords.open(data) as records:
        write_invented_days(records, load_demo_outlines(), count=8, until_utc_ms=1_773_046_800_000)
    copy_today(data / FILE_NAME, date(2026, 3, 8))
    with_qt = not qt_complaint(painting_only=True)
    ended = {}
    for words in commands(out, data, outline, with_qt):
        line = " ".join(map(str, words))
        ended[line] = main([str(word) for word in words])
        watch.look_at_sockets()
    (work / "seen.json").write_text(
        json.dumps(
            {
                "ended": ended,
                "with_qt": with_qt,
                "network": watch.network,
                "writers": watch.writers,
                "readable": open_to_others(home),
                "made": sorted(path.name for path in home.rglob("*")),
            }
        )
    )


if __name__ == "__main__":
    begin(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve())
