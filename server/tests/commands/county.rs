//! What the county refuses, and the help of both programs.

use sponson_show::terminal::Exit;

use crate::world::{World, surroundings};

#[tokio::test(flavor = "multi_thread")]
async fn before_there_is_a_county_nothing_can_be_asked() {
    let world = World::new();
    world.check("county", "about", Exit::Store, "").await;
    world
        .check("station", "ready", Exit::WrongUse, "sponson join")
        .await;
    world
        .check(
            "station",
            "join ABCDE --county 127.0.0.1:1",
            Exit::Refused,
            "code",
        )
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_county_refuses_what_is_wrong() {
    let world = World::new();
    world.found().await;
    let mine = world.file("mine.toml", "model = \"x\"\n");
    let other = world.file("other.csv", "a,b\n1,2\n");
    let craft = world.path("craft.csv");
    let gear = world.file(
        "more.csv",
        "number,type,station,colour\nM9,motor,North Landing,red\n",
    );
    for (line, exit, said) in [
        ("init --name Again", Exit::Refused, "a county already"),
        (&format!("adopt {mine}"), Exit::Refused, "mine.toml"),
        ("adopt kayak", Exit::Refused, "inflatable-14"),
        ("adopt inflatable-14", Exit::Fine, "word for word"),
        ("adopt --show policy", Exit::Fine, "[units]"),
        (
            &format!("bring-in --craft {}", craft.display()),
            Exit::Refused,
            "already registered",
        ),
        (
            &format!("bring-in --craft {other}"),
            Exit::Refused,
            "no column for",
        ),
        (
            &format!("bring-in --dry-run --gear {gear}"),
            Exit::Fine,
            "left out: colour",
        ),
        ("bring-in", Exit::WrongUse, "--craft"),
        ("admit ''", Exit::Refused, ""),
        ("admit South --at north", Exit::WrongUse, "--at"),
        ("serve --listen nowhere", Exit::Network, "cannot listen"),
        ("answer", Exit::Fine, "Boat 3"),
        ("answer --judge", Exit::Judged, "Boat 3"),
        (
            "assign 'Boat 3' 'Flood 12' --mission flood",
            Exit::Fine,
            "assigned to Flood 12",
        ),
        (
            "assign 'Boat 8' 'Flood 12'",
            Exit::Refused,
            "not known here",
        ),
        ("release 'Boat 3'", Exit::Fine, "Boat 3: released"),
        ("release 'Boat 3'", Exit::Refused, "it is not assigned"),
        ("verify", Exit::Fine, "all is well"),
        ("about", Exit::Fine, "inflatable-14 revision 1"),
    ] {
        world.check("county", line, exit, said).await;
    }
}

#[test]
fn commands_may_run_on_any_thread() {
    fn may_move<T: Send>(_: &T) {}
    let (mut given, _, _) = surroundings();
    may_move(&sponson_client::run_async([], &mut given));
    may_move(&sponson_server::run_async([], &mut given));
}

#[tokio::test]
#[expect(
    clippy::too_many_lines,
    reason = "the whole help, as a person reads it"
)]
async fn help_is_a_result() {
    let world = World::new();
    let (exit, station) = world.run("station", "-h").await;
    assert_eq!(exit, Exit::Fine);
    insta::assert_snapshot!(station, @r#"
    The log of a station's rescue craft: records what was done, and says which craft
    can go

    Usage: sponson [OPTIONS] <COMMAND>

    Commands:
      join              Make this device known to the county, with the code that the
                        lead gave
      salvage           Build a fresh store from what can still be read of a damaged
                        one, from carry files, and from the county. The old one is
                        set aside, never deleted
      compact           Write the log anew in as little room as it needs. Nothing
                        that was recorded changes
      check             Record a boat check: line by line at the terminal, or from a
                        file
      checks            List the checks that are under way here: begun, and not
                        recorded yet
      use               Record that a craft was on the water
      air               Record that air was added to a part or let out of it
      fault             Record something wrong at a part of a craft
      picture           Add a picture to a fault or a check that was recorded before
      repair            Record work done on faults. They stay open until somebody
                        entitled signs them off
      sign-off          State that named faults are over. Closes only what it names
      inspect           Record that an inspection of the boat standard was done, or
                        what is owed after use: drying, flushing, decontamination
      move              Record that a craft, numbered gear or a bag is now somewhere
                        else
      lend              Record that loose kit went from one craft, shelf, store or
                        bag to another, as it was counted at both afterwards
      number            Record the number that is now painted on a craft, gear, a
                        bag or a shelf
      out               Declare a craft out of service
      back              Declare a craft back in service. Ends the statements that
                        are known here, and no others
      count             Record the spares counted at a station, on a shelf or in a
                        bag that is on no craft
      crews             Say what crews this station can raise, and until when
      assign            Assign a craft to an incident. Shows its report first and
                        what speaks against going, keeps both with who sent it and
                        why, and never refuses
      release           Release a craft from the assignments that are known here, or
                        from one. A full check is owed once it is free
      sent              Show again what was shown when a craft was sent to an
                        incident: who sent it, when and why, and the report as it
                        was read then, held against its SHA-256
      withdraw          Withdraw an earlier entry, as if it had not been recorded.
                        It stays in the log. To restate it instead, record it again
                        with --corrects
      ready             Show which craft can go, or the report of one
      call-out          Show who can get to a place, when and with what, and what
                        would make the others go
      place-in-service  Show the steps that take a craft from delivered to ready, in
                        the order in which they are done, each ticked off by the
                        entry that proves it
      due               Show inspections and dates past due, the longest overdue
                        first; or what comes due
      gauges            Show gauge readings that are doubted: those that never move
                        though the bay's temperature does, by gauge and by crew
                        shift, and gauges that read apart from the others. Nobody is
                        named
      leaks             Show chambers by the day on which they are too soft, and
                        every hold test; or the readings of one craft
      faults            Show what keeps failing, which repairs hold, and what to do
                        about it
      disagreements     List what stations recorded differently without knowing of
                        each other, which counts until then, and what settles it
      decisions         List what the lead decided about faults that come again:
                        whether it was done, and whether the same came again since
      sheet             Make the printable sheet of a craft's check, to fill in by
                        hand and enter afterwards
      label             Make labels of craft, each with its number and a QR code
                        that opens its check
      log               Show what was recorded, newest last; or one event with all
                        its fields
      sync              Meet the county now: send what it lacks, fetch what is new
                        there
      carry             Carry events on a stick, for when there is no network at all
      verify            Check every signature, chain and row of this copy of the
                        log; or a file that somebody gave you
      prove             Write a proof that the county stored an event, for somebody
                        who has no copy of the log
      record            Show everything that was recorded of a craft: checked,
                        found, repaired, by whom, when
      about             Show what this copy of the log is, what waits to be sent,
                        and when it last met the county
      let-in            Make a link that lets a member in to this station's pages,
                        once
      signed-in         List who is signed in at the pages, or end sessions
      reckon            Reckon by hand what the answers rest on: works anywhere, and
                        records nothing
      serve             Keep the local service and the station's pages up until told
                        to end. Other commands then go through the service
      help              Print this message or the help of the given subcommand(s)

    Options:
          --folder <DIR>      Folder of the log, the keys and the settings, instead
                              of this machine's usual ones
          --member <NUMBER>   Member number of whoever records
          --observed <TIME>   When it was observed, for what is recorded later, for
                              example from paper: local time of the county, as in
                              "2026-03-14 08:30"
          --corrects <EVENT>  Short name of an earlier entry that what is recorded
                              restates as a whole, for example 1a2b3c4d: the same
                              command again, with everything as it should have been
      -h, --help              Print help (see more with '--help')
      -V, --version           Print version
    "#);
}

#[tokio::test]
#[expect(
    clippy::too_many_lines,
    reason = "the whole help, as a person reads it"
)]
async fn help_of_the_county_is_a_result() {
    let world = World::new();
    let (exit, county) = world.run("county", "-h").await;
    assert_eq!(exit, Exit::Fine);
    insta::assert_snapshot!(county, @"
    The county's log of rescue craft: lets stations in, sets the standards, says
    what can go

    Usage: sponson-county [OPTIONS] <COMMAND>

    Commands:
      init              Found the county: its keys, its log, its first settings for
                        judging
      admit             Give a station an admission code, which works once
      adopt             Put boat standards in force: built-in ones by name, or the
                        lead's own from files
      bring-in          Register craft, gear or bags from a CSV list. Rows that are
                        wrong are refused one by one
      answer            Show what can go across the county, what is short and what
                        is overdue
      call-out          Show who can get to a place, when and with what, and what
                        would make the others go
      kit-moves         Plan by day which spare kit to take from where, so that the
                        most craft can go
      gauges            Show gauge readings that are doubted: those that never move
                        though the bay's temperature does, by gauge and by crew
                        shift, and gauges that read apart from the others
      leaks             Show chambers by the day on which they are too soft, and
                        every hold test; or the readings of one craft
      faults            Show what keeps failing, which repairs hold, and what to do
                        about it
      due               Show inspections and dates past due, the longest overdue
                        first; or what comes due
      assign            Assign a craft to an incident. Shows its report first and
                        what speaks against going, keeps both with who sent it and
                        why, and never refuses
      release           Release a craft from the assignments that are known here, or
                        from one. A full check is owed once it is free
      sent              Show again what was shown when a craft was sent to an
                        incident: who sent it, when and why, and the report as it
                        was read then, held against its SHA-256
      waive             Permit a craft to go with restrictive faults, for named
                        missions and until a time
      redact            Remove text or pictures beside an entry, at every copy of
                        the log
      count             Record the spares counted at a station, on a shelf or in a
                        bag that is on no craft
      crews             Say what crews this station can raise, and until when
      level             Record a level that a member holds, by member number: no
                        name stands in the log
      disagreements     List what stations recorded differently without knowing of
                        each other, which counts until then, and what settles it
      decisions         List what the lead decided about faults that come again:
                        whether it was done, and whether the same came again since
      place-in-service  Show the steps that take a craft from delivered to ready, in
                        the order in which they are done, each ticked off by the
                        entry that proves it
      move              Record that a craft, numbered gear or a bag is now somewhere
                        else
      number            Record the number that is now painted on a craft, gear, a
                        bag or a shelf
      sign-off          State that named faults are over. Closes only what it names
      let-in            Make a link that lets a member in to the county's pages,
                        once
      signed-in         List who is signed in at the pages, or end sessions
      devices           Show the devices that stations record with: since when, with
                        which roles, when last heard, and how far what they recorded
                        counts
      revoke            End the key of a device that was lost, replaced, copied or
                        retired. It can no longer connect, and nothing that it
                        recorded after its last good entry counts
      role              Give a device other roles, from the entry on that follows
                        those held here. Earlier ones keep the roles that they had
      dismiss           Dismiss what is unconfirmed of a device: craft are then no
                        longer held to 'go and look' by it. Lists it first. Covers
                        what comes from the device later too; about says how much
                        did
      hold              Hold a model, a maker's batch or a part everywhere: craft
                        that it fits, or that carry gear that it fits, are not ready
                        for the missions named until the hold is lifted
      lift              Lift a county-wide hold by its name; without one, show the
                        holds in force. Another hold of the same thing stays
      condemn           Condemn a craft or a piece of gear: it is never to be used
                        again
      decide            Record what is decided about faults that come again: at one
                        craft, one piece of gear, or a whole model or batch
      same-as           State that two registrations are one thing, which was
                        registered twice: what is recorded about either counts for
                        both
      withdraw          Withdraw an earlier entry, as if it had not been recorded.
                        It stays in the log. To restate it instead, record it again
                        with --corrects
      backup            Write the county's log, keys, settings and open admission
                        codes to one file
      log               Show what was recorded, newest last; or one event with all
                        its fields
      carry             Carry events on a stick, for when there is no network at all
      verify            Check every signature, chain and row of this copy of the
                        log; or a file that somebody gave you
      prove             Write a proof that the county stored an event, for somebody
                        who has no copy of the log
      record            Show everything that was recorded of a craft: checked,
                        found, repaired, by whom, when
      about             Show what this copy of the log is, what waits to be sent,
                        and when it last met the county
      serve             Keep the county up for its stations, until told to end
      restore           Bring the county back from a backup, into a folder that
                        holds no county
      renew-key         Let the root key admit a new working key of the county,
                        which records from then on
      compact           Write the log anew in as little room as it needs. Nothing
                        that was recorded changes
      help              Print this message or the help of the given subcommand(s)

    Options:
          --folder <DIR>     Folder of the log, the keys and the settings, instead
                             of this machine's usual ones
          --member <NUMBER>  Member number of whoever records
          --clock-is-right   Go on although this machine's clock stands long after
                             the county's newest entry, or, with `serve`, before it,
                             since an earlier clock ran ahead
      -h, --help             Print help (see more with '--help')
      -V, --version          Print version
    ");
}
