"""Copies under a passphrase against pyrage, another program's reading of the age format: both open what the other closed.

    sealed.py HIRSEL BOOK FOLDER
"""

import pathlib
import subprocess
import sys

import pyrage

WORD = "hay barn gate moon"


def run(*call, ok=True):
    done = subprocess.run(call, capture_output=True, text=True, timeout=120)
    assert (done.returncode == 0) == ok, (call, done.stdout, done.stderr)
    return done.stdout + done.stderr


def main(hirsel, book, folder):
    folder = pathlib.Path(folder)
    word = folder / "word.txt"
    word.write_text(WORD + "\n")
    wrong = folder / "wrong.txt"
    wrong.write_text("hay barn gate noon\n")
    ours = folder / "ours.age"
    run(hirsel, "backup", book, str(ours), "--passphrase-file", str(word))
    plain = pyrage.passphrase.decrypt(ours.read_bytes(), WORD)
    assert plain.startswith(b"SQLite format 3\0"), plain[:20]
    try:
        pyrage.passphrase.decrypt(ours.read_bytes(), "hay barn gate noon")
        raise SystemExit("a wrong passphrase opened our copy")
    except pyrage.DecryptError:
        pass
    theirs = folder / "theirs.age"
    theirs.write_bytes(pyrage.passphrase.encrypt(plain, WORD))
    back = folder / "back.hirsel"
    assert "not its passphrase" in run(
        hirsel, "restore", str(theirs), str(back), "--passphrase-file", str(wrong), ok=False
    )
    assert not back.exists()
    run(hirsel, "restore", str(theirs), str(back), "--passphrase-file", str(word))
    same = [run(hirsel, "export", str(b), "animals") for b in (book, back)]
    assert same[0] == same[1] and len(same[0]) > 100, "the book came back changed"
    table = folder / "animals.age"
    run(hirsel, "export", book, "animals", "-o", str(table), "--passphrase-file", str(word))
    assert pyrage.passphrase.decrypt(table.read_bytes(), WORD).decode() == same[0]
    print(f"sealed: {len(plain)} bytes of a book and a table opened by pyrage, and one of its own opened by us")


if __name__ == "__main__":
    main(*sys.argv[1:])
