//! A county and a station in folders of their own, whose commands run in this process.

use std::ffi::OsString;
use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use sponson_client::Surroundings;
use sponson_client::settings::{Places, Settings};
use sponson_link::{Clock, Entropy};
use sponson_replica::Now;
use sponson_server::{CountyUp, serve_until};
use sponson_show::terminal::Exit;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

/// 2026-03-14 09:00 UTC: half an hour after the check that the help shows.
pub(crate) const NOW_MS: i64 = 1_773_478_800_000;

/// What was written, for whoever looks afterwards.
#[derive(Clone, Default)]
pub(crate) struct Written(Arc<Mutex<Vec<u8>>>);

impl Written {
    pub(crate) fn text(&self) -> String {
        let bytes = self.0.lock().expect("no writer panics");
        String::from_utf8(bytes.clone()).expect("the programs write UTF-8")
    }
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0
            .lock()
            .expect("no writer panics")
            .extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

pub(crate) fn surroundings() -> (Surroundings, Written, Written) {
    surroundings_after(0)
}

/// The same so many hours later.
pub(crate) fn surroundings_after(hours: i64) -> (Surroundings, Written, Written) {
    surroundings_at(clocks(1, 0, NOW_MS + hours * 3_600_000))
}

/// A device's clocks: started so, so many minutes since the start, showing so.
pub(crate) fn clocks(boot: u8, minutes: u64, unix_ms: i64) -> Now {
    Now {
        unix_ms,
        utc_offset_min: 0,
        boot_id: [boot; 16],
        monotonic_ms: 1 + minutes * 60_000,
    }
}

/// The same, by these clocks.
fn surroundings_at(now: Now) -> (Surroundings, Written, Written) {
    let (out, err) = (Written::default(), Written::default());
    let given = Surroundings {
        clock: Clock::new(move || now),
        entropy: Entropy::system(),
        out: Box::new(out.clone()),
        err: Box::new(err.clone()),
        input: Box::new(io::empty()),
        interactive: false,
    };
    (given, out, err)
}

/// A county's and a station's folder, and the county while it serves.
pub(crate) struct World {
    folder: tempfile::TempDir,
    address: String,
}

pub(crate) struct Serving {
    stop: oneshot::Sender<()>,
    ended: JoinHandle<Result<(), sponson_server::CountyError>>,
}

impl Serving {
    /// Tells the county to end, and waits for it.
    pub(crate) async fn end(self) {
        self.stop.send(()).expect("still serving");
        self.ended.await.expect("no panic").expect("ended well");
    }
}

impl World {
    pub(crate) fn new() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a folder"),
            address: String::new(),
        }
    }

    /// A county that serves, and a station that has joined it.
    pub(crate) async fn up() -> (Self, Serving) {
        let mut world = Self::new();
        world.found().await;
        let serving = world.serve().await;
        world.join().await;
        (world, serving)
    }

    /// Where the county serves.
    pub(crate) fn address(&self) -> &str {
        &self.address
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn file(&self, name: &str, text: &str) -> String {
        let path = self.path(name);
        std::fs::write(&path, text).expect("writes");
        path.to_str().expect("UTF-8").to_owned()
    }

    /// Runs one command, its words parted by blanks, those with blanks in them in single quotes;
    /// gives how it ended and all that it wrote.
    pub(crate) async fn run(&self, program: &str, line: &str) -> (Exit, String) {
        self.run_after(0, program, line).await
    }

    /// The same so many hours later.
    pub(crate) async fn run_after(&self, hours: i64, program: &str, line: &str) -> (Exit, String) {
        let now = clocks(1, 0, NOW_MS + hours * 3_600_000);
        self.run_at(now, program, line).await
    }

    /// The same, by these clocks.
    pub(crate) async fn run_at(&self, now: Now, program: &str, line: &str) -> (Exit, String) {
        let (mut given, out, err) = surroundings_at(now);
        let folder = self.path(program).into_os_string();
        let mut args: Vec<OsString> = vec![program.into(), "--folder".into(), folder];
        args.extend(words(line).into_iter().map(Into::into));
        let exit = match program {
            "county" => sponson_server::run_async(args, &mut given).await,
            _ => sponson_client::run_async(args, &mut given).await,
        };
        (exit, format!("{}{}", out.text(), err.text()))
    }

    /// Runs one command and checks how it ended and what it said.
    pub(crate) async fn check(&self, program: &str, line: &str, exit: Exit, said: &str) -> String {
        let (ended, text) = self.run(program, line).await;
        assert_eq!(ended, exit, "{program} {line}: {text}");
        assert!(
            text.contains(said),
            "{program} {line} does not say '{said}': {text}"
        );
        assert!(
            !text.contains('\u{1b}'),
            "an escape reached the terminal: {text:?}"
        );
        text
    }

    /// Checks several commands of the station, one after another.
    pub(crate) async fn check_all(&self, commands: &[(&str, Exit, &str)]) {
        for (line, exit, said) in commands {
            self.check("station", line, *exit, said).await;
        }
    }

    pub(crate) async fn serve(&mut self) -> Serving {
        self.serve_after(0).await
    }

    /// The same so many hours later.
    pub(crate) async fn serve_after(&mut self, hours: i64) -> Serving {
        let now = clocks(1, 0, NOW_MS + hours * 3_600_000);
        self.serve_by(Clock::new(move || now)).await
    }

    /// The same by these clocks.
    pub(crate) async fn serve_by(&mut self, clock: Clock) -> Serving {
        let (given, _, _) = surroundings();
        let given = Surroundings { clock, ..given };
        let places = Places::of("county", Some(&self.path("county"))).expect("a folder");
        let up = CountyUp::begin(&places, "127.0.0.1:0", &given)
            .await
            .expect("comes up");
        self.address = up.address().to_string();
        let (stop, stopped) = oneshot::channel::<()>();
        let ended = tokio::spawn(serve_until(up, async {
            let _ = stopped.await;
        }));
        Serving { stop, ended }
    }

    /// Tells the station that the county is at another address now.
    pub(crate) fn county_moved(&self) {
        let file = self.path("station").join("settings.toml");
        let mut settings = Settings::read(&file).expect("it has joined");
        settings.county = Some(self.address.clone());
        settings.write(&file).expect("writes");
    }

    /// A county with standards, craft, gear and bags, as its commands make it.
    pub(crate) async fn found(&self) {
        let county = |line: String, said| async move {
            self.check("county", &line, Exit::Fine, said).await;
        };
        let root = self.path("stick.key");
        county(
            format!("init --name Lake --root-key {}", root.display()),
            "founded",
        )
        .await;
        county("adopt inflatable-14".to_owned(), "revision 1 in force").await;
        let craft = self.file(
            "craft.csv",
            "call sign,model,station,persons,total (lb),hp\n\
             Boat 3,inflatable-14,North Landing,10,2600,40\n\
             Boat 4,inflatable-14,North Landing,10,2200,40\n",
        );
        let line = format!("bring-in --craft {craft} --register-stations");
        county(line, "2 taken, 0 refused").await;
        let gear = self.file(
            "gear.csv",
            "number,type,station\nM3,motor,North Landing\nG1,gauge,North Landing\n\
             C1,cylinder,North Landing\n",
        );
        county(format!("bring-in --gear {gear}"), "3 taken").await;
        let bags = self.file("bags.csv", "number,station\nB7,North Landing\n");
        county(format!("bring-in --bags {bags}"), "1 taken").await;
    }

    /// Lets the station in and brings it up to date.
    pub(crate) async fn join(&self) {
        self.join_as("station", "North Landing").await;
    }

    /// Lets a device of a station in, its folder under a name, and brings it up to date.
    pub(crate) async fn join_as(&self, device: &str, station: &str) {
        let roles = ["crew", "maintenance"];
        self.join_with(device, station, &roles).await;
    }

    /// The same, with these roles.
    pub(crate) async fn join_with(&self, device: &str, station: &str, roles: &[&str]) {
        let roles: String = roles.iter().map(|role| format!(" --role {role}")).collect();
        let admit = format!("admit '{station}'{roles}");
        let said = self.check("county", &admit, Exit::Fine, "works once").await;
        let first = said.lines().next().expect("a line");
        let code = first.rsplit(' ').next().expect("it ends with the code");
        let join = format!("join {code} --county {}", self.address);
        let joined = format!("joined as {station}");
        self.check(device, &join, Exit::Fine, &joined).await;
        self.check(device, "sync", Exit::Fine, "nothing waits")
            .await;
    }
}

/// Parts a line into its words.
fn words(line: &str) -> Vec<String> {
    let quoted = line.split('\'').enumerate();
    quoted
        .flat_map(|(position, piece)| {
            let whole = position % 2 == 1;
            let parted = piece.split_whitespace().filter(move |_| !whole);
            let whole = whole.then_some(piece);
            parted.chain(whole).map(str::to_owned).collect::<Vec<_>>()
        })
        .collect()
}
