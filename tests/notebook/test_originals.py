import hashlib
import os
import stat

import pytest

from proofpan.notebook import NotebookError, NotFound

PHOTO = b"\xff\xd8 not really a photograph \x00\r\n" * 999


def test_a_file_comes_back_byte_for_byte_and_says_what_it_is(notebook):
    kept = notebook.keep_file(PHOTO, name="tray 1.jpg", media_type="image/jpeg")
    assert kept.digest == hashlib.sha256(PHOTO).hexdigest()
    assert (kept.name, kept.media_type, kept.size, kept.at) == (
        "tray 1.jpg",
        "image/jpeg",
        len(PHOTO),
        "2026-05-03T09:14:00.000Z",
    )
    assert notebook.read_file(kept.digest) == PHOTO == notebook.file_path(kept.digest).read_bytes()
    assert notebook.file_entry(kept.digest) == kept and notebook.files() == (kept,)


def test_a_file_given_by_path_is_the_same_file(notebook, tmp_path):
    source = tmp_path / "probe.csv"
    source.write_bytes(PHOTO)
    by_path = notebook.keep_file(source, name="probe.csv", media_type="text/csv")
    assert notebook.keep_file(PHOTO, name="again.csv", media_type="text/csv") == by_path
    assert source.read_bytes() == PHOTO


def test_a_kept_file_is_read_only_and_lies_beside_the_notebook(notebook, tmp_path):
    kept = notebook.keep_file(b"abc", name="a", media_type="text/plain")
    path = notebook.file_path(kept.digest)
    assert path == tmp_path / "kitchen" / "media" / kept.digest[:2] / kept.digest
    assert stat.S_IMODE(path.stat().st_mode) == 0o444
    assert [p for p in path.parent.parent.iterdir() if p.is_file()] == []


@pytest.mark.parametrize("name", ["../../etc/passwd", "C:\\photos\\passwd", "/passwd"])
def test_a_name_is_only_a_name(notebook, name):
    assert notebook.keep_file(b"abc", name=name, media_type="text/plain").name == "passwd"


@pytest.mark.parametrize("digest", ["../../etc/passwd", "", "AB" * 32, "0" * 63 + "\n"])
def test_only_a_digest_asks_for_a_file(notebook, digest):
    for call in (notebook.read_file, notebook.file_path):
        with pytest.raises(NotFound, match="isn't the digest of a file"):
            call(digest)


def test_a_file_that_was_never_kept_or_went_missing_is_said(notebook):
    with pytest.raises(NotFound, match="keeps no file 000"):
        notebook.read_file("0" * 64)
    kept = notebook.keep_file(b"abc", name="tray.jpg", media_type="image/jpeg")
    notebook.file_path(kept.digest).unlink()
    with pytest.raises(NotFound, match='"tray.jpg" is missing'):
        notebook.read_file(kept.digest)
    assert notebook.keep_file(b"abc", name="tray.jpg", media_type="image/jpeg") == kept
    assert notebook.read_file(kept.digest) == b"abc"


def test_an_altered_file_is_never_given_out(notebook):
    kept = notebook.keep_file(b"abc", name="tray.jpg", media_type="image/jpeg")
    path = notebook.file_path(kept.digest)
    os.chmod(path, 0o644)
    path.write_bytes(b"abd")
    with pytest.raises(NotebookError, match="has been altered"):
        notebook.read_file(kept.digest)


def test_a_path_that_is_not_there_is_said(notebook, tmp_path):
    with pytest.raises(NotebookError, match=r"gone\.jpg can't be used: no such file"):
        notebook.keep_file(tmp_path / "gone.jpg", name="x", media_type="image/jpeg")
    assert notebook.files() == ()


def test_a_full_disk_leaves_no_half_file(notebook, tmp_path, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("proofpan.notebook.originals.os.fsync", full)
    with pytest.raises(NotebookError, match="disk is full"):
        notebook.keep_file(PHOTO, name="x", media_type="image/jpeg")
    assert notebook.files() == () and list((tmp_path / "kitchen" / "media").iterdir()) == []
