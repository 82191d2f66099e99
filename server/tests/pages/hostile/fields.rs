//! Every field that takes text, and how it is filled: by a command, a file, a form or an address.
//!
//! In each `{}` stands for the text. It judges nothing.

/// How a field is filled.
#[derive(Clone, Copy)]
pub(super) enum How {
    /// A word of a command: the program and the command, words in single quotes whole.
    Word(&'static str, &'static str),
    /// A cell or value in a file; what the file is quoted by, its text, and the program and command
    /// that takes it, where `FILE` is its path.
    File(Quoted, &'static str, &'static str, &'static str),
    /// A field of a form of the station; `ID` is a craft.
    Station(&'static str, &'static str),
    /// A field of a form of the county, filled by a lead.
    County(&'static str, &'static str),
    /// A field of an address of the county's pages.
    Asked(&'static str),
    /// A field of an address of the station's pages.
    AskedThere(&'static str),
}

/// How a file keeps a text apart from what is around it.
#[derive(Clone, Copy)]
pub(super) enum Quoted {
    /// RFC 4180: in double quotes, those within doubled.
    Csv,
    /// As JSON writes a string, which TOML reads too.
    Json,
}

/// A field: its name, and how it is filled.
pub(super) type Field = (&'static str, How);

use How::{Asked, AskedThere, County, File, Station, Word};
use Quoted::{Csv, Json};

/// Lists that are brought in, sheets and settings that are adopted.
pub(super) const FILES: &[Field] = &[
    (
        "a craft's number",
        File(
            Csv,
            "call sign,model,station,persons,total (lb),hp\n{},inflatable-14,North Landing,10,2600,40\n",
            "county",
            "bring-in --craft FILE --register-stations",
        ),
    ),
    (
        "a craft's station",
        File(
            Csv,
            "call sign,model,station,persons,total (lb),hp\nBoat N,inflatable-14,{},10,2600,40\n",
            "county",
            "bring-in --craft FILE --register-stations",
        ),
    ),
    (
        "a craft's hull number, fabric and batch",
        File(
            Csv,
            "call sign,model,station,persons,total (lb),hp,hull number,fabric,batch\nBoat N,inflatable-14,North Landing,10,2600,40,{},{},{}\n",
            "county",
            "bring-in --craft FILE",
        ),
    ),
    (
        "a column",
        File(
            Csv,
            "call sign,model,station,{}\nBoat N,inflatable-14,North Landing,1\n",
            "county",
            "bring-in --craft FILE",
        ),
    ),
    (
        "a model",
        File(
            Csv,
            "call sign,model,station\nBoat N,{},North Landing\n",
            "county",
            "bring-in --craft FILE",
        ),
    ),
    (
        "gear's number",
        File(
            Csv,
            "number,type,station\n{},gauge,North Landing\n",
            "county",
            "bring-in --gear FILE",
        ),
    ),
    (
        "gear's model, serial and connector",
        File(
            Csv,
            "number,type,station,model,serial,connector\nG N,fuel line,North Landing,{},{},{}\n",
            "county",
            "bring-in --gear FILE",
        ),
    ),
    (
        "gear's sort",
        File(
            Csv,
            "number,type,station\nG N,{},North Landing\n",
            "county",
            "bring-in --gear FILE",
        ),
    ),
    (
        "a bag's number",
        File(
            Csv,
            "number,station\n{},North Landing\n",
            "county",
            "bring-in --bags FILE",
        ),
    ),
    (
        "a check's gauge",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\ngauge = {}\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "who checked",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\nobserved = \"2026-03-14 07:30\"\nchecked_by = {}\n[answers]\ndrain-plug = \"yes\"\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "who enters a check",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\nmember = {}\n[answers]\ndrain-plug = \"yes\"\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "a check's notes and faults",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\n[answers]\ndrain-plug = \"yes\"\n[[faults]]\npart = \"tube-2\"\nclass = {}\nseverity = \"minor\"\nnote = {}\n[notes]\ndrain-plug = {}\ncheck = {}\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "names in a check",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\n[answers]\n{} = \"yes\"\n[readings.{}]\nfound = \"3 psi\"\n[counts.{}]\ncount = 1\n[meters]\n{} = \"1 h\"\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "values in a check",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = {}\nair = {}\nstood = {}\n[readings.tube-1]\nfound = {}\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "a bag's seal",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\naboard = [\"B7\"]\n[seals.B7]\nnumber = {}\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "what is aboard",
        File(
            Json,
            "craft = \"Boat 3\"\nextent = \"part\"\naboard = [{}]\n",
            "station",
            "check 'Boat 3' --from FILE",
        ),
    ),
    (
        "an unknown setting of a sheet",
        File(Json, "model = \"x\"\n{} = 1\n", "county", "adopt FILE"),
    ),
    (
        "a sheet's model",
        File(
            Json,
            "model = {}\nlabel = \"x\"\nrevision = 1\nclass = \"inflatable\"\n",
            "county",
            "adopt FILE",
        ),
    ),
];

/// Commands of the county.
pub(super) const AT_THE_COUNTY: &[Field] = &[
    ("a station", Word("county", "admit '{}'")),
    (
        "a call",
        Word("county", "admit 'North Landing' --call '{}'"),
    ),
    (
        "a member who is let in",
        Word("county", "let-in '{}' --role crew"),
    ),
    ("whose session ends", Word("county", "signed-in --end '{}'")),
    (
        "whoever records",
        Word("county", "hold --model inflatable-14 --member '{}'"),
    ),
    (
        "a batch held",
        Word("county", "hold --batch '{}' --note 'held'"),
    ),
    (
        "a model held",
        Word("county", "hold --model '{}' --note 'held'"),
    ),
    (
        "a part held",
        Word("county", "hold --model inflatable-14 --part '{}'"),
    ),
    (
        "a hold's note",
        Word("county", "hold --model inflatable-14 --note '{}'"),
    ),
    (
        "why it is decided",
        Word(
            "county",
            "decide --craft 'Boat 3' --part tube-1 --action watch --why '{}'",
        ),
    ),
    (
        "a batch decided on",
        Word("county", "decide --batch '{}' --action watch --why 'seen'"),
    ),
    ("a member's level", Word("county", "level M7 '{}'")),
    (
        "a member with a level",
        Word("county", "level '{}' technician --note '{}'"),
    ),
    (
        "why it is condemned",
        Word("county", "condemn 'Boat 9' damaged --yes --note '{}'"),
    ),
    ("a device", Word("county", "dismiss '{}' --yes")),
    ("a device revoked", Word("county", "revoke '{}' lost --yes")),
    (
        "a mission waived",
        Word(
            "county",
            "waive 'Boat 3' 00000000-0 --mission '{}' --until '2026-03-15 08:00'",
        ),
    ),
    ("an unknown craft", Word("county", "answer '{}'")),
    ("a mission", Word("county", "answer --mission '{}'")),
    ("a temperature", Word("county", "answer --air '{}'")),
    ("weather", Word("county", "answer --metar '{}'")),
    (
        "weather within a report",
        Word(
            "county",
            "answer --metar 'KXYZ 141755Z 24012G18KT 4SM {} M01/M02 A2981'",
        ),
    ),
    ("a place", Word("county", "call-out --place '{}'")),
    (
        "a way",
        Word("county", "call-out --place 44.9,-103.2 --travel '{}=5'"),
    ),
    (
        "a station closed",
        Word("county", "call-out --place 44.9,-103.2 --closed '{}'"),
    ),
    (
        "a craft left out",
        Word("county", "answer --without-craft '{}'"),
    ),
    ("kit left out", Word("county", "answer --without-kit '{}'")),
    ("a time", Word("county", "answer --as-of '{}'")),
    ("what the log is asked", Word("county", "log '{}'")),
    ("an option", Word("county", "{}")),
    ("an option's name", Word("county", "answer '--{}'")),
    ("a file", Word("county", "carry in '{}'")),
    ("a sheet", Word("county", "adopt '{}'")),
    (
        "an entry to redact",
        Word("county", "redact '{}' --reason personal"),
    ),
    (
        "one of two boats",
        Word("county", "same-as '{}' 'Boat 3' --yes"),
    ),
];

/// Commands of the station.
pub(super) const AT_THE_STATION: &[Field] = &[
    (
        "a fault's class and note",
        Word(
            "station",
            "fault 'Boat 3' tube-1 '{}' --severity minor --note '{}'",
        ),
    ),
    (
        "a fault's part",
        Word("station", "fault 'Boat 3' '{}' leak --severity minor"),
    ),
    (
        "whoever records",
        Word(
            "station",
            "--member '{}' fault 'Boat 3' tube-3 leak --severity minor",
        ),
    ),
    (
        "a repair's method, glue and note",
        Word(
            "station",
            "repair 'Boat 3' --part tube-1 --method '{}' --adhesive '{}' --note '{}'",
        ),
    ),
    (
        "a sign-off's note",
        Word("station", "sign-off 'Boat 3' --all-at tube-3 --note '{}'"),
    ),
    (
        "a use's note",
        Word("station", "use 'Boat 3' --time 1h --note '{}'"),
    ),
    (
        "a use's kit",
        Word("station", "use 'Boat 3' --time 1h --used-up '{}=1'"),
    ),
    (
        "a use's meter",
        Word("station", "use 'Boat 3' --time 1h --meter '{}=1h'"),
    ),
    (
        "an incident",
        Word("station", "assign 'Boat 3' '{}' --why '{}' --note '{}'"),
    ),
    (
        "why it is released",
        Word("station", "release 'Boat 3' --why '{}' --note '{}'"),
    ),
    (
        "out of service",
        Word("station", "out 'Boat 3' rest --note '{}'"),
    ),
    (
        "back in service",
        Word("station", "back 'Boat 3' --note '{}'"),
    ),
    (
        "crews",
        Word(
            "station",
            "crews 1 --persons 3 --for 2h --operator '{}' --note '{}'",
        ),
    ),
    (
        "an inspection's note",
        Word(
            "station",
            "inspect 'Boat 3' engine-service passed --note '{}'",
        ),
    ),
    (
        "an inspection",
        Word("station", "inspect 'Boat 3' '{}' passed"),
    ),
    ("a thing moved", Word("station", "move '{}' 'Boat 3'")),
    ("where it is moved", Word("station", "move M3 '{}'")),
    (
        "a move's note",
        Word("station", "move M3 'Boat 3' --note '{}'"),
    ),
    (
        "a new number",
        Word("station", "number B9 '{}' --note '{}'"),
    ),
    (
        "a new number of a craft",
        Word("station", "number 'Boat 5' '{}'"),
    ),
    (
        "kit lent",
        Word(
            "station",
            "lend 'Boat 3' 'Boat 4' throw-bag --left 1 --there 1 --note '{}'",
        ),
    ),
    (
        "what is counted",
        Word("station", "count 'Boat 3' '{}=1' --note '{}'"),
    ),
    ("air", Word("station", "air 'Boat 3' '{}' added")),
    (
        "a pressure",
        Word("station", "air 'Boat 3' tube-1 added --before '{}'"),
    ),
    ("an entry", Word("station", "withdraw '{}'")),
    ("a craft to look at", Word("station", "ready '{}'")),
    ("a craft to check", Word("station", "check '{}'")),
    ("a picture", Word("station", "picture 00000000 '{}'")),
    (
        "a label's address",
        Word("station", "label 'Boat 3' --address '{}'"),
    ),
    ("a proof", Word("station", "verify --proof '{}'")),
    (
        "a figure",
        Word("station", "reckon pressure --gauge '{}' --from 20C --to 4C"),
    ),
];

/// Forms and addresses of the pages.
pub(super) const ON_PAGES: &[Field] = &[
    ("use", Station("/use/ID", "time=1h&note={}")),
    (
        "use, each field",
        Station("/use/ID", "time={}&water={}&mission={}&used-up.{}=1"),
    ),
    (
        "fault",
        Station(
            "/fault/ID",
            "part=tube-4&class={}&severity=minor&note={}&same=no",
        ),
    ),
    (
        "fault, each field",
        Station(
            "/fault/ID",
            "part={}&class=leak&severity={}&side={}&from-transom={}",
        ),
    ),
    (
        "air",
        Station("/air/ID", "part=tube-1&done={}&before={}&by={}"),
    ),
    (
        "inspect",
        Station("/inspect/ID", "inspection={}&result=passed&note={}"),
    ),
    ("out", Station("/service/ID", "do=out&reason=rest&note={}")),
    ("back", Station("/service/ID", "do=back&note-back={}")),
    ("move", Station("/move", "thing={}&to={}&note={}")),
    (
        "lend",
        Station("/lend", "from={}&to={}&item={}&left=1&there=1&note={}"),
    ),
    (
        "crews",
        Station("/crews", "crews=1&persons=3&for=2h&operator={}&note={}"),
    ),
    (
        "repair",
        Station("/repair/ID", "fault={}&method={}&note={}"),
    ),
    ("who", Station("/who", "member={}&back={}")),
    (
        "where to go back",
        Station(
            "/inspect/ID",
            "inspection=engine-service&result=passed&back={}",
        ),
    ),
    ("a name of a field", Station("/use/ID", "time=1h&{}=1")),
    (
        "paper",
        Station("/paper/ID", "checked_by={}&observed={}&note={}"),
    ),
    ("letting in", Station("/let-in", "member={}&role=crew")),
    ("light", Station("/light", "light={}&back={}")),
    ("find", AskedThere("/find?number={}")),
    ("from a label", AskedThere("/c/{}")),
    ("who, again", AskedThere("/who?back={}")),
    ("a craft's page", AskedThere("/craft/{}")),
    ("a label", AskedThere("/label/{}")),
    ("a check", AskedThere("/check/{}")),
    ("a picture", AskedThere("/picture/{}")),
    ("due", AskedThere("/due?station={}&as-of={}")),
    (
        "assign",
        County("/craft/ID/assign", "incident={}&note={}&why={}"),
    ),
    ("release", County("/craft/ID/release", "note={}&why={}")),
    (
        "decide",
        County(
            "/faults/decide",
            "craft=Boat+3&part=tube-1&action=watch&why={}",
        ),
    ),
    (
        "decide, each field",
        County("/faults/decide", "craft={}&part={}&action={}&why=x"),
    ),
    ("light", County("/light", "light={}&back={}")),
    (
        "a question",
        Asked("/?mission={}&air={}&place={}&launch={}&people={}"),
    ),
    ("weather", Asked("/?metar={}")),
    ("a question's name", Asked("/?{}=1")),
    (
        "left out",
        Asked("/?without-craft={}&without-station={}&without-kit={}"),
    ),
    ("ways", Asked("/?place=44.9,-103.2&travel={}&closed={}")),
    ("a craft's page", Asked("/craft/{}")),
    ("its record", Asked("/craft/{}/record")),
    ("a list", Asked("/{}.csv")),
    ("faults", Asked("/faults?by={}&craft={}&from={}")),
    ("a group", Asked("/faults/group?by={}&key={}")),
    ("what comes due", Asked("/due?station={}&until={}")),
    ("kit moves", Asked("/kit-moves?mission={}&air={}")),
    ("gauges", Asked("/gauges?air={}")),
    ("a link", Asked("/enter/{}")),
    ("report", Asked("/report?mission={}")),
    ("any path", Asked("/{}")),
];
