"""What comes back after publishing: readers' questions, complaints, texts from the copy desk."""

from __future__ import annotations

from typing import Literal

from proofpan.study.fields import Doc

Answered = Literal["cooked", "worked out", "don't know"]
Cause = Literal["text", "swap", "oven", "us"]


class Question(Doc):
    """A reader's question about a line: what kind it is, in their words."""

    kind: str
    words: str = ""
    line: str = ""
    edition: int = 1


class Reply(Doc):
    """How a kind of question is answered, and whether a small test is offered."""

    kind: str
    asked: int
    answer: Answered
    says: str
    offer_test: bool = False


class Complaint(Doc):
    """A complaint and what it was put down to."""

    words: str
    cause: Cause
    says: str


class TextChange(Doc):
    """One difference between the edition and a text that came back."""

    kind: Literal["number", "unit", "order", "lost", "added", "words"]
    line: str
    before: str
    after: str
    says: str
