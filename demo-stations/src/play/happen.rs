//! What happens in the county, apart from commands that are shown.

use std::path::PathBuf;

use chrono::NaiveDateTime;
use sponson_readiness::standard::{Standard, built_in};

use super::{LineError, Player};
use crate::radio::Coverage;
use crate::rounds::{AirMoved, Round, go_round};
use crate::world::{Chamber, Craft, Gauge};

/// One craft's round takes so long.
const ROUND_MS: i64 = 9 * 60_000;

impl Player {
    /// Does what one `@` line says.
    pub(super) async fn happens(&mut self, words: &[String]) -> Result<(), LineError> {
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        match words.as_slice() {
            ["time", day, time] => self.move_clock(day, time),
            ["founded", name] => self.found(name).await,
            ["station", name, facts @ ..] => self.admit(name, facts).await,
            ["older", station, kind] => self.make_older(station, kind).await,
            ["craft-in-order", file] => self.put_in_order(file),
            ["fit-motors"] => self.fit_motors().await,
            ["papers", craft, member, day, apart @ ..] => {
                self.papers(craft, member, day, apart).await
            }
            ["gauge", station, number, over_mbar] => self.set_gauge(station, number, over_mbar),
            ["bay", station, celsius] => self.set_bay(station, celsius),
            ["leak", craft, part, mbar_day] => self.leak(craft, part, mbar_day),
            ["stuck", craft, part, mbar] => self.stuck(craft, part, mbar),
            ["really", craft, what, id, value] => self.really(craft, what, id, value),
            ["bag", craft, bag, items @ ..] => self.bag(craft, bag, items),
            ["rounds", day, time, extent, except @ ..] => {
                self.move_clock(day, time)?;
                self.rounds(extent, except).await
            }
            ["check", craft, member, extent, "--at", station] => {
                self.check(craft, member, extent, station).await
            }
            ["engine-runs", station, member] => self.engine_runs(station, member).await,
            ["run", craft, member, time, engine, "--at", station] => {
                self.run(craft, member, time, engine, station).await
            }
            ["cut", station] => self.cover(station, Coverage::Lost),
            ["restore", station] => self.cover(station, Coverage::Back),
            ["sync", "all"] => self.sync_all().await,
            ["sync", stations @ ..] => self.sync(stations).await,
            ["damage", file, copy] => self.damage(file, copy),
            ["same-answer", one, other, craft] => self.same_answer(one, other, craft).await,
            _ => Err(LineError::Word(format!(
                "'@{}' is nothing that can happen here",
                words.join(" ")
            ))),
        }
    }

    fn move_clock(&mut self, day: &str, time: &str) -> Result<(), LineError> {
        let local = NaiveDateTime::parse_from_str(&format!("{day} {time}"), "%Y-%m-%d %H:%M")
            .map_err(|_| LineError::Word(format!("'{day} {time}' is no time")))?;
        let unix_ms =
            local.and_utc().timestamp_millis() - i64::from(self.clock.utc_offset_min()) * 60_000;
        if unix_ms < self.clock.unix_ms() {
            return Err(LineError::Word(format!("{day} {time} is over already")));
        }
        self.clock.move_to(unix_ms);
        Ok(())
    }

    fn put_in_order(&mut self, file: &str) -> Result<(), LineError> {
        let path = file.replace("{county}", concat!(env!("CARGO_MANIFEST_DIR"), "/county"));
        let now_ms = self.clock.unix_ms();
        for line in std::fs::read_to_string(path)?.lines().skip(1) {
            let mut cells = line.split(',');
            let (Some(number), Some(model), Some(station)) =
                (cells.next(), cells.next(), cells.next())
            else {
                return Err(LineError::Word(format!("'{line}' is no row of craft")));
            };
            let craft = Craft::in_order(sheet(model)?, station, &format!("M{number}"), now_ms);
            self.world.craft.insert(number.to_owned(), craft);
        }
        Ok(())
    }

    async fn fit_motors(&mut self) -> Result<(), LineError> {
        for (number, craft) in self.world.craft.clone() {
            self.quiet(&craft.station, &["move", &craft.motor, &number])
                .await?;
        }
        Ok(())
    }

    async fn papers(
        &mut self,
        craft: &str,
        member: &str,
        day: &str,
        apart: &[&str],
    ) -> Result<(), LineError> {
        let known = self.craft(craft)?;
        let station = known.station.clone();
        let lines: Vec<String> = known
            .standard
            .inspections
            .iter()
            .map(|line| line.id.as_str().to_owned())
            .filter(|line| line != "engine-run")
            .collect();
        for line in lines {
            let day = apart
                .iter()
                .filter_map(|pair| pair.split_once('='))
                .find_map(|(id, day)| (id == line).then_some(day))
                .unwrap_or(day);
            let observed = format!("{day} 10:00");
            let words = ["inspect", craft, &line, "passed"];
            let late = ["--observed", &observed, "--member", member];
            self.quiet(&station, &[&words[..], &late[..]].concat())
                .await?;
        }
        Ok(())
    }

    fn set_gauge(
        &mut self,
        station: &str,
        painted: &str,
        over_mbar: &str,
    ) -> Result<(), LineError> {
        let gauge = Gauge {
            number: painted.to_owned(),
            over_pa: number(over_mbar)? * 100.0,
        };
        self.world.gauges.insert(station.replace('-', " "), gauge);
        Ok(())
    }

    fn set_bay(&mut self, station: &str, celsius: &str) -> Result<(), LineError> {
        let degrees = celsius.trim_end_matches('C').parse();
        let degrees =
            degrees.map_err(|_| LineError::Word(format!("'{celsius}' is no temperature")))?;
        self.world.bays.insert(station.replace('-', " "), degrees);
        Ok(())
    }

    fn leak(&mut self, craft: &str, part: &str, mbar_day: &str) -> Result<(), LineError> {
        let now_ms = self.clock.unix_ms();
        let mbar = number(mbar_day)?;
        self.chamber(craft, part)?.leak(mbar * 100.0, now_ms);
        Ok(())
    }

    fn stuck(&mut self, craft: &str, part: &str, mbar: &str) -> Result<(), LineError> {
        let mbar = number(mbar)?;
        self.chamber(craft, part)?.stuck_pa = Some(mbar * 100.0);
        Ok(())
    }

    fn chamber(&mut self, craft: &str, part: &str) -> Result<&mut Chamber, LineError> {
        let chamber = self.craft(craft)?.chambers.get_mut(part);
        chamber.ok_or_else(|| LineError::Word(format!("craft {craft} has no {part}")))
    }

    fn really(&mut self, craft: &str, what: &str, id: &str, value: &str) -> Result<(), LineError> {
        let known = self.craft(craft)?;
        match what {
            "count" => {
                let count = value
                    .parse()
                    .map_err(|_| LineError::Word(format!("'{value}' is no count")))?;
                known.counts.insert(id.to_owned(), count);
            }
            "dates" => {
                known.dates.insert(id.to_owned(), value.to_owned());
            }
            "answer" => {
                known.answers.insert(id.to_owned(), value.to_owned());
            }
            _ => {
                return Err(LineError::Word(format!(
                    "'{what}' is not count, dates, answer"
                )));
            }
        }
        Ok(())
    }

    fn bag(&mut self, craft: &str, bag: &str, items: &[&str]) -> Result<(), LineError> {
        let known = self.craft(craft)?;
        let bagged = items.iter().map(|&item| (item.to_owned(), bag.to_owned()));
        known.bagged.extend(bagged);
        Ok(())
    }

    /// Every station goes round its craft, runs the engines after a full round, and syncs.
    async fn rounds(&mut self, extent: &str, except: &[&str]) -> Result<(), LineError> {
        let crews: Vec<(String, String)> = self
            .stations
            .iter()
            .map(|(name, station)| (name.clone(), station.number().to_string()))
            .collect();
        for (station, number) in crews {
            let craft: Vec<String> = self
                .world
                .craft
                .iter()
                .filter(|(_, craft)| craft.station == station)
                .map(|(number, _)| number.clone())
                .filter(|number| !except.contains(&number.as_str()))
                .collect();
            let goes_round = !craft.is_empty();
            for craft in craft {
                self.check(&craft, &format!("M-{number}01"), extent, &station)
                    .await?;
            }
            if extent == "full" && goes_round {
                self.engine_runs(&station, &format!("M-{number}03")).await?;
            }
            self.sync(&[&station]).await?;
        }
        Ok(())
    }

    async fn check(
        &mut self,
        craft: &str,
        member: &str,
        extent: &str,
        station: &str,
    ) -> Result<(), LineError> {
        self.clock.pass(ROUND_MS);
        let station = station.replace('-', " ");
        let celsius = self.world.bays.get(&station).copied().unwrap_or(10.0);
        let round = Round {
            number: craft,
            member,
            extent,
            celsius,
            now_ms: self.clock.unix_ms(),
            gauge: self.world.gauges.get(&station),
        };
        let known = self.world.craft.get_mut(craft);
        let known = known.ok_or_else(|| LineError::Word(format!("no craft {craft}")))?;
        let (text, air_moved) = go_round(known, &round);
        for moved in &air_moved {
            self.air(&station, craft, celsius, moved).await?;
        }
        let file = self.work_file("check.toml");
        std::fs::write(&file, text)?;
        let path = file.display().to_string();
        self.quiet(&station, &["check", craft, "--from", &path])
            .await
    }

    /// Air added by foot pump or let out, before the check that reads the gauge again.
    async fn air(
        &mut self,
        station: &str,
        craft: &str,
        celsius: f64,
        moved: &AirMoved,
    ) -> Result<(), LineError> {
        let (before, after) = moved.mbar;
        let (from, to) = (format!("{before} mbar"), format!("{after} mbar"));
        let degrees = format!("{celsius}C");
        let way = if after > before { "added" } else { "let-out" };
        let words = ["air", craft, &moved.part, way, "--before", &from];
        let more = ["--after", &to, "--air", &degrees];
        let by: &[&str] = if after > before {
            &["--by", "foot-pump"]
        } else {
            &[]
        };
        let words = [&words[..], &more[..], by].concat();
        self.quiet(station, &words).await
    }

    async fn engine_runs(&mut self, station: &str, member: &str) -> Result<(), LineError> {
        let station = station.replace('-', " ");
        let craft: Vec<String> = self
            .world
            .craft
            .iter()
            .filter(|(_, craft)| craft.station == station)
            .map(|(number, _)| number.clone())
            .collect();
        for number in craft {
            let words = [
                "inspect",
                &number,
                "engine-run",
                "passed",
                "--member",
                member,
            ];
            self.quiet(&station, &words).await?;
        }
        Ok(())
    }

    async fn run(
        &mut self,
        craft: &str,
        member: &str,
        time: &str,
        engine: &str,
        station: &str,
    ) -> Result<(), LineError> {
        let hours: f64 = engine
            .trim_end_matches('h')
            .parse()
            .map_err(|_| LineError::Word(format!("'{engine}' is no engine time")))?;
        self.clock.pass(2 * 3_600_000);
        let known = self.craft(craft)?;
        known.engine_s += whole_seconds(hours);
        let meter = format!("{}={}", known.motor, crate::rounds::hours(known.engine_s));
        let words = ["use", craft, "--time", time, "--engine", engine];
        let more = ["--meter", &meter, "--member", member];
        self.quiet(station, &[&words[..], &more[..]].concat()).await
    }

    fn cover(&mut self, station: &str, coverage: Coverage) -> Result<(), LineError> {
        self.station(station)?.radio().set_coverage(coverage);
        Ok(())
    }

    async fn sync_all(&mut self) -> Result<(), LineError> {
        let all: Vec<String> = self.stations.keys().cloned().collect();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        // The first round brings everything to the county, the second to everybody.
        self.sync(&all).await?;
        self.sync(&all).await
    }

    /// Stations try to sync; one without coverage fails with the code for the network.
    async fn sync(&mut self, stations: &[&str]) -> Result<(), LineError> {
        for station in stations {
            let expected = match self.station(station)?.radio().coverage() {
                Coverage::Back => 0,
                Coverage::Lost => 5,
            };
            let typed = self.typed(station, &["sync".to_owned()]).await?;
            typed.expect(expected)?;
        }
        Ok(())
    }

    fn damage(&self, file: &str, copy: &str) -> Result<(), LineError> {
        let placed =
            |name: &str| PathBuf::from(name.replace("{work}", &self.folder.display().to_string()));
        let mut bytes = std::fs::read(placed(file))?;
        let middle = bytes.len() / 2;
        if let Some(byte) = bytes.get_mut(middle) {
            *byte ^= 0x20;
        }
        Ok(std::fs::write(placed(copy), bytes)?)
    }

    async fn same_answer(&mut self, one: &str, other: &str, craft: &str) -> Result<(), LineError> {
        let words: Vec<String> = ["ready", craft, "--json"].map(str::to_owned).to_vec();
        let before = self.clock.unix_ms();
        let first = self.typed(one, &words).await?;
        let as_of = ["--as-of".to_owned(), crate::sim_clock::rfc3339(before)];
        let words = [words, as_of.to_vec()].concat();
        let (first_of, second) = (
            self.typed(one, &words).await?,
            self.typed(other, &words).await?,
        );
        let craft_of = |typed: &super::Typed| {
            serde_json::from_str::<serde_json::Value>(&typed.out)
                .map(|answer| answer["craft"].clone())
                .map_err(|error| LineError::Word(format!("{error}: {}", first.text())))
        };
        if craft_of(&first_of)? == craft_of(&second)? {
            return Ok(());
        }
        Err(LineError::Word(format!(
            "{one} and {other} differ about {craft}"
        )))
    }

    fn craft(&mut self, number: &str) -> Result<&mut Craft, LineError> {
        let known = self.world.craft.get_mut(number);
        known.ok_or_else(|| LineError::Word(format!("no craft {number}")))
    }

    fn work_file(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// A command that is not shown and must end well.
    async fn quiet(&mut self, who: &str, words: &[&str]) -> Result<(), LineError> {
        let words: Vec<String> = words.iter().map(|&word| word.to_owned()).collect();
        self.typed(who, &words).await?.expect(0)
    }
}

fn number(word: &str) -> Result<f64, LineError> {
    word.parse()
        .map_err(|_| LineError::Word(format!("'{word}' is no number")))
}

/// A built-in sheet, or one that stands in the county's folder.
fn sheet(model: &str) -> Result<Standard, LineError> {
    let found = built_in().into_iter().find(|(name, _)| *name == model);
    let text = match found {
        Some((_, text)) => text.to_owned(),
        None => {
            let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/county");
            std::fs::read_to_string(format!("{folder}/{model}.toml"))?
        }
    };
    Standard::parse(&text).map_err(|error| LineError::Word(error.to_string()))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a run takes hours, never less than none"
)]
fn whole_seconds(hours: f64) -> u64 {
    (hours * 3600.0).round() as u64
}
