//! Tables of any make on the command line: read by the meaning of their columns, looked at, mended, remembered.

use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::flocks::Folder;
use std::path::Path;

/// Runs a call; answers its exit code and what it printed.
fn call(folder: &Path, args: &[&str]) -> (i32, String, String) {
    let mut c = hirsel(folder);
    c.args(args);
    let output = run(c);
    let printed = String::from_utf8_lossy(&output.stdout).into_owned();
    (output.status.code().unwrap_or(-1), printed, said(&output))
}

fn book(folder: &Path) {
    assert_eq!(call(folder, &["new", "flock.hirsel", "--flock", "Thornley Fellsides"]).0, 0);
}

const THEIRS: &str = "Eartag;DOB;Gender;Mother;Wool\n0412;13/04/2021;F;;fine\n0500;03/04/2024;gimmer;412;\n";

#[test]
fn any_table_comes_in_and_what_was_said_of_it_is_remembered() {
    let folder = Folder::new();
    let at = folder.path();
    book(at);
    std::fs::write(at.join("theirs.csv"), THEIRS).expect("written");
    let (code, out, err) = call(at, &["import", "flock.hirsel", "any", "theirs.csv", "--dry-run"]);
    assert_eq!(code, 0, "{err}");
    assert!(
        out.contains("0500") && err.contains("DOB = born") && err.contains("the column 'Wool' is left out"),
        "{out}{err}"
    );
    let (code, out, err) = call(
        at,
        &["import", "flock.hirsel", "any", "theirs.csv", "--columns", "Wool=remark", "--on", "2026-04-10"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Wrote 2 animals new"), "{out}");
    assert!(err.contains("412 is read as 0412"), "{err}");
    let (_, animals, _) = call(at, &["export", "flock.hirsel", "animals"]);
    assert!(animals.contains("Wool: fine") && animals.contains("0500,ewe,,,2024-04-03,0412"), "{animals}");
    // The next table of this source is read in the same way, and says so.
    let (_, out, err) =
        call(at, &["import", "flock.hirsel", "any", "theirs.csv", "--dry-run", "--format", "csv"]);
    assert!(err.contains("as you said of such a table before") && err.contains("Wool = remark"), "{err}");
    assert!(out.contains(",the same,"), "{out}");
    let (_, _, err) = call(at, &["import", "flock.hirsel", "any", "theirs.csv", "--dry-run", "--forget"]);
    assert!(err.contains("the column 'Wool' is left out"), "{err}");
}

#[test]
fn what_is_open_is_asked_with_the_word_that_answers_it() {
    let folder = Folder::new();
    let at = folder.path();
    book(at);
    std::fs::write(at.join("a.csv"), "Tag,Sex,DOB\n1,f,03/04/2024\n2,grey,05/04/2024\n").expect("written");
    let (code, _, err) = call(at, &["import", "flock.hirsel", "animals", "a.csv"]);
    assert_eq!(code, 1, "{err}");
    assert!(err.contains("'03/04/2024' on line 2 is 3 Apr 2024 (day, month, year) or 4 Mar 2024"), "{err}");
    assert!(err.contains("--dates dmy or --dates mdy"), "{err}");
    let (code, _, err) = call(at, &["import", "flock.hirsel", "animals", "a.csv", "--dates", "dmy"]);
    assert_eq!(code, 1, "{err}");
    assert!(err.contains("line 3: Sex 'grey'") && err.contains("--skip-refused"), "{err}");
    let (code, out, err) =
        call(at, &["import", "flock.hirsel", "animals", "a.csv", "--dates", "dmy", "--skip-refused"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("1 to mend, left out"), "{out}");
    // What the book holds is changed only when it may be.
    std::fs::write(at.join("b.csv"), "Tag,Sex,Colour\n1,f,grey\n").expect("written");
    let (_, out, _) = call(at, &["import", "flock.hirsel", "any", "b.csv"]);
    assert!(out.contains("1 with other facts, left as the book has them"), "{out}");
    let (code, out, _) = call(at, &["import", "flock.hirsel", "animals", "b.csv", "--change"]);
    assert!(code == 0 && out.contains("1 changed"), "{out}");
    let (_, animals, _) = call(at, &["export", "flock.hirsel", "animals"]);
    assert!(animals.contains(",grey,"), "{animals}");
    // Words that are not understood.
    let (code, _, err) = call(at, &["import", "flock.hirsel", "animals", "b.csv", "--columns", "Wool=tag"]);
    assert!(code == 2 && err.contains("the table has Tag, Sex, Colour"), "{err}");
    let (code, _, err) = call(at, &["import", "flock.hirsel", "weighings", "b.csv", "--columns", "Tag=wool"]);
    assert!(code == 2 && err.contains("weighings have no column 'wool'"), "{err}");
    let (code, _, err) = call(at, &["import", "flock.hirsel", "weighings", "b.csv", "--change"]);
    assert!(code == 1 && err.contains("--columns \"HEAD=on\""), "{err}");
}
