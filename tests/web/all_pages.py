"""A kitchen in which every page has something on it, and the addresses of them all."""

from proofpan.notebook.photographs import REPORT
from proofpan.web.work import LOCK, TOLD, try_lock, write
from tests.science.colour.table import crackers as tray_of_crackers
from tests.science.colour.table import saved
from tests.science.colour.test_oven_map import HOT_BACK_LEFT, shot_of

from .conftest import Kitchen, codes_of, crackers, marks, opened, planned

STEPS = "brief sources rounds day cook tasting paper readings heat oven verdict recipe how-we-tested cross-tests editions present"


def tester_link(lead, study: str) -> str:
    """A tester's link."""
    page = lead.post(f"{study}/cross-tests/link", version="fat=butter", who="Zoë", control="", **{"in": "metric"})
    return page.all(r'class="codeword"><a href="https?://[^/]+(/x/[^"]+)"')[0]


def other_ballots(kitchen: Kitchen, kinds: str) -> dict[str, str]:
    """A taster's phone under ballots other than the ordinary one, a study for each."""
    lead, out = kitchen.lead(), {}
    for kind in kinds.split():
        study = crackers(lead)
        planned(lead, study)
        trials = ["1", "2"] if kind == "triangle" else [str(n) for n in range(1, 5)]
        page = lead.post(f"{study}/tasting", what="lay", kind=kind, trials=trials)
        assert page.status == 200, page.wrong
        out[kind] = opened(lead, study)["Ada"]
    return out


def empty_pages(kitchen: Kitchen) -> dict[str, str]:
    """Pages before anything is kept: of a quick comparison with nothing tasted, and of a study from its file with nothing planned."""
    lead = kitchen.lead()
    quick = lead.post("/quick", option=["salted", "not salted"], who="1", mode="marks", turns="1", dont_eat="").url.rsplit("/", 1)[0]
    study = crackers(lead)
    return {f"{s}, nothing there": f"{quick}/{s}" for s in STEPS.split()} | {f"{s}, nothing yet": f"{study}/{s}" for s in STEPS.split()}


def work_pages(kitchen: Kitchen) -> dict[str, str]:
    """Work that goes on for as long as the kitchen is looked at, and work that was stopped; neither takes a processor from the browser."""
    lead, works = kitchen.lead(), kitchen.app.state.kitchen.works
    study = crackers(lead)
    works._set_going = lambda name, folder: None
    stopped = lead.post(f"{study}/dry-run", kitchens="500").url
    lead.post(f"{stopped}/stop")
    going = lead.post(f"{study}/dry-run").url
    folder = works._folder / going.rsplit("/", 1)[1]
    write(folder / TOLD, {"pid": 0, "at_work": True, "done": 40, "all": 960, "says": "Playing this plan: 40 of 960 kitchens so far."})
    kitchen.at_work = try_lock(folder / LOCK)
    return {"work": going, "work stopped": stopped, "brief at work": f"{study}/brief"}


def full_pages(kitchen: Kitchen) -> dict[str, str]:
    """Every page of the app by its name, with a study under way on it."""
    lead = kitchen.lead()
    quick = lead.post("/quick", option=["salted", "sour"], who="1", mode="marks", turns="1", dont_eat="").url
    triangles = lead.post("/quick", option=["salted", "sweet"], who="1", mode="triangles", turns="3", dont_eat="").url
    study = crackers(lead)
    planned(lead, study)
    ballot = opened(lead, study)["Ada"]
    ada = kitchen.stranger()
    for code in codes_of(ada.get(ballot))[:4]:
        ada.client.post(ballot + "/marks", json={"code": code, **marks()})
    waived = {f"waive-{name}": "tests" for name in ("cross-test", "two good makes", "full size", "audit")}
    lead.post(f"{study}/publish", version="fat=butter", **waived)
    tray = ("tray.png", saved(tray_of_crackers().shot(), "PNG"), "image/png")
    assert not lead.post(f"{study}/reading", kind="colour", trial="1", files={"file": tray}).wrong
    bread = [(kind, (f"{kind}.png", saved(shot_of(HOT_BACK_LEFT, turned=kind == "turned"), "PNG"), "image/png")) for kind in ("photograph", "turned")]
    assert not lead.post(f"{study}/oven", oven="main", places="2x3", files=bread).wrong
    report = kitchen.book.events(study.split("/")[-1], kind=REPORT)[-1].id
    out = {"first": "/", "codes": quick, "alone": quick.replace("codes", "alone"), "triangles": triangles}
    out |= {s: f"{study}/{s}" for s in STEPS.split()}
    out |= {"edition": f"{study}/editions/1", "sheet": f"{study}/cook?trial=1", "reading": f"{study}/reading/{report}"}
    out |= {"notebook": "/notebook?ingredient=olive+oil", "backups": "/backups", "ballot": ballot, "words": "/t", "tester": tester_link(lead, study)}
    out |= {"designs": "/designs", "a design": "/designs?kind=fraction&factors=salt:+little,+much%0Afat:+oil,+butter%0Aoven:+170,+190&generators=C%3DAB"}
    return out | {"nowhere": "/nowhere"}
