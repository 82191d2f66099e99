//! Where the logs of a program go: stderr, filtered by `RUST_LOG`, each record on a line of its own.
//!
//! Never logged: admission codes, seeds of keys, texts of notes. Names that people or devices gave are,
//! so nothing in a record can begin another line, or be obeyed by the terminal that shows it (CWE-117,
//! CWE-150).

use std::io::{self, Write};

use sponson_show::clean;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::MakeWriter;

/// Name of the threads in which the store engine is called.
const STORE_THREAD: &str = "store";

/// Sends the logs of this process to stderr; warnings and worse unless `RUST_LOG` says otherwise.
/// Only a program's `main` calls it: it is global.
pub fn to_stderr() {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("warn"));
    // A second call changes nothing, and nobody needs to know.
    let _ = tracing::subscriber::set_global_default(logs(filter, io::stderr));
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        // The store engine panics on damage and where it gets no thread. That is caught and told in
        // words; the trace is for whoever asks for it.
        if std::thread::current().name() == Some(STORE_THREAD) {
            tracing::debug!("{panic}");
        } else {
            usual(panic);
        }
    }));
}

/// Writes records that the filter lets through, each in one line and one piece.
pub fn logs<M>(filter: EnvFilter, to: M) -> impl tracing::Subscriber + Send + Sync
where
    M: for<'a> MakeWriter<'a> + Send + Sync + 'static,
{
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(Lines(to))
        .with_ansi(false)
        .finish()
}

/// Makes writers of one line each.
struct Lines<M>(M);

impl<'a, M: MakeWriter<'a>> MakeWriter<'a> for Lines<M> {
    type Writer = Line<M::Writer>;

    fn make_writer(&'a self) -> Self::Writer {
        Line(self.0.make_writer())
    }
}

/// Makes one line of each piece; the library hands over a record in one.
struct Line<W>(W);

impl<W: Write> Write for Line<W> {
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        let text = String::from_utf8_lossy(piece);
        let line = clean(text.trim_end_matches('\n'));
        self.0.write_all(format!("{line}\n").as_bytes())?;
        Ok(piece.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::{Arc, Mutex};

    use super::*;

    #[derive(Clone, Default)]
    struct Kept(Arc<Mutex<Vec<u8>>>);

    impl Write for Kept {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.lock().expect("no panic").extend_from_slice(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn whatever_is_in_a_record_is_one_line_of_it() {
        let kept = Kept::default();
        let writer = kept.clone();
        let logs = logs(EnvFilter::new("info"), move || writer.clone());
        let name = "a\n2026-03-14T09:00:00Z ERROR forged\r\u{1b}[2J\u{9b}2J\u{202e}\u{2028}";
        tracing::subscriber::with_default(logs, || {
            tracing::info!(member = %name, device = ?name, "signed in as {name}");
            tracing::debug!("not asked for");
        });
        let text = String::from_utf8(kept.0.lock().expect("no panic").clone()).expect("UTF-8");
        assert_eq!(text.matches('\n').count(), 1, "{text:?}");
        let line = text.strip_suffix('\n').expect("it ends");
        assert_eq!(clean(line), line);
        assert!(line.contains("ERROR forged"), "nothing is lost: {line}");
    }
}
