"""What is worked out from a study is worked out once, and no page waits for what only another page needs."""

import threading

from proofpan.study.study import Study
from proofpan.web.shelfcache import Standing


def standing():
    factors = [{"name": "salt", "options": ["a", "b"]}]
    return Standing("dip", 1, Study.from_dict({"title": "Dip", "tasters": 1, "attributes": [{"name": "snap"}], "factors": factors}), ())


def test_a_page_does_not_wait_for_what_another_page_draws():
    here, begun, go_on = standing(), threading.Event(), threading.Event()

    def slow():
        begun.set()
        assert go_on.wait(20)
        return "drawn"

    drawing = threading.Thread(target=lambda: here.kept("slow", slow))
    drawing.start()
    assert begun.wait(20)
    assert here.kept("quick", lambda: "at once") == "at once"
    go_on.set()
    drawing.join()
    assert here.kept("slow", None) == "drawn"


def test_two_who_ask_for_the_same_have_it_made_once():
    here, made, both = standing(), [], threading.Barrier(4)

    def ask():
        both.wait(20)
        here.kept("x", lambda: made.append(1) or here.lasting("inner", lambda: 1))

    threads = [threading.Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert made == [1]
