//! The station's program as a shell sees it: what goes to which stream, and the exit code. What the
//! commands do is shown where they are.

use std::path::Path;
use std::process::{Command, Output};

/// Runs the program with settings and data in a folder of its own.
fn run(home: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sponson"))
        .args(args)
        .env_clear()
        .env("HOME", home)
        .output()
        .expect("the program starts")
}

#[test]
fn results_go_to_stdout_refusals_to_stderr_and_the_code_tells_them_apart() {
    let home = tempfile::tempdir().expect("a folder");
    let check = |args: &[&str], code: i32, out: &str, refusal: &str| {
        let ended = run(home.path(), args);
        let [said, refused] = [&ended.stdout, &ended.stderr].map(|s| String::from_utf8_lossy(s));
        assert_eq!(ended.status.code(), Some(code), "{args:?}: {refused}");
        assert!(said.contains(out), "{args:?}: {said}");
        assert!(refused.contains(refusal), "{args:?}: {refused}");
        assert_eq!(said.is_empty(), out.is_empty(), "{args:?}: {said}");
        assert_eq!(
            refused.is_empty(),
            refusal.is_empty(),
            "{args:?}: {refused}"
        );
    };
    check(&["--version"], 0, env!("CARGO_PKG_VERSION"), "");
    check(
        &["reckon", "pressure", "--help"],
        0,
        "Usage: sponson reckon pressure",
        "",
    );
    check(&["no-such-command"], 2, "", "no-such-command");
    check(&["ready"], 2, "", "join");
}
