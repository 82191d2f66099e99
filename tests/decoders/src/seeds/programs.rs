//! Files to begin with for what the programs decode.

use prost::Message as _;
use sponson_link::Code;
use sponson_proto::answer::v1 as answer;
use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::CarryScope;

use super::{Seeds, chosen, texts};
use crate::county::{self, CRAFT, DAY, START, Who};

/// Cells of a column of a list in `tests/reference`.
fn column(list: &str, column: usize) -> Seeds {
    let lines = list.lines().filter(|line| !line.starts_with('#')).skip(1);
    let cells = lines.filter_map(|line| line.split(',').nth(column));
    cells.map(|cell| cell.as_bytes().to_vec()).collect()
}

pub(crate) fn admission_code() -> Seeds {
    let code = Code::new(county::county_id(), [7; 10]).to_string();
    vec![
        code.to_lowercase().into_bytes(),
        code.replace('-', " ").into_bytes(),
        code.into_bytes(),
    ]
}

pub(crate) fn backup_file() -> Seeds {
    let mut written = sponson_server::backup::Writer::begin(Vec::new(), county::county_id(), START)
        .expect("into memory");
    county::county().carry_out(CarryScope::All, START, &mut |piece| {
        written.log(piece.into()).expect("into memory");
    });
    for (name, content) in [("working.key", vec![1; 32]), ("settings.toml", Vec::new())] {
        written.file(name, content).expect("into memory");
    }
    vec![written.end().expect("into memory")]
}

pub(crate) fn bring_in_list() -> Seeds {
    chosen(&[
        (
            0,
            "number,model,station,plate persons,plate persons mass\n4-3,inflatable-14,North Ford,6,1100 lb\n4-4,inflatable-14,North Ford,,\n",
        ),
        (
            0,
            "\u{feff}Number;Model;Station\r\n4-3;inflatable-14;North Ford\r\n",
        ),
        (
            1,
            "number,type,station,mass,power\nM2,motor,North Ford,57 kg,25 hp\nP1,pump,North Ford,,\n",
        ),
        (
            2,
            "number,station\nB2,North Ford\n\"B \"\"3\"\"\",North Ford\n",
        ),
    ])
}

pub(crate) fn check_file() -> Seeds {
    texts(&[
        sponson_client::check_file::EXAMPLE,
        "craft = \"4-1\"\nextent = \"full\"\nat = \"2027-02-28 09:00\"\n[readings.tube-1]\nfound = \"3.0 psi\"\nair = \"50 F\"\n[answers]\ndrain = \"yes\"\n[counts.x]\ncount = 3\n",
        "craft = \"4-1\"\nextent = \"part\"\n[meters]\nM1 = \"113.6h\"\n",
    ])
}

pub(crate) fn check_under_way() -> Seeds {
    texts(&[
        "{\"begun\":{\"id\":\"c1\",\"craft\":\"c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1\",\"number\":\"4-1\",\"kind\":\"full\",\"from_paper\":false,\"standard\":\"\",\"member\":\"1042\",\"unix_ms\":1803888000000}}\n{\"entered\":{\"member\":\"1042\",\"unix_ms\":1803888060000,\"fields\":[[\"reading.tube-1.found\",\"3.0 psi\"]]}}\n{\"recording\":{\"member\":\"1042\",\"unix_ms\":1803888060000,\"held\":9,\"events\":[\"AAECAw==\"]}}\n{\"in_log\":{\"event\":\"00ff\"}}\n{\"recorded\":{\"member\":\"\",\"unix_ms\":2}}\n",
        "{\"begun\":{\"id\":\"c1\",\"craft\":\"c1\",\"number\":\"4-1\",\"kind\":\"fitting-out\",\"from_paper\":true,\"standard\":\"00\",\"member\":\"\",\"unix_ms\":0}}\n{\"open_again\":{\"member\":\"\",\"unix_ms\":1}}\n{\"dropped\":{\"member\":\"\",\"unix_ms\":1}}\ntorn",
    ])
}

pub(crate) fn craft_record() -> Seeds {
    let request = sponson_proto::service::v1::CraftRecordRequest {
        craft: CRAFT.to_bytes(),
        ..Default::default()
    };
    let now = county::now(START + 3 * DAY);
    let written = sponson_link::craft_record::write(&mut county::county(), &request, &now, "test");
    written.map_or_else(|_| Vec::new(), |written| vec![written.file])
}

pub(crate) fn launch_places() -> Seeds {
    texts(&[
        "place,position,access,station,minutes\nMill ramp,\"44.9,-103.2\",ramp,North Ford,12\nMill ramp,\"44.9,-103.2\",ramp,South Lock,20\nWeir,44.95 -103.25,,,\n",
        "place;position;station;minutes\nMill ramp;44.9 -103.2;North Ford;12\n",
    ])
}

pub(crate) fn map_file() -> Seeds {
    texts(&[
        r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"water","name":"Mill Pond"},"geometry":{"type":"Polygon","coordinates":[[[-103.2,44.9],[-103.1,44.9],[-103.1,45.0],[-103.2,44.9]]]}},{"type":"Feature","properties":{"kind":"river","name":"Ford"},"geometry":{"type":"LineString","coordinates":[[-103.2,44.9],[-103.1,44.95]]}},{"type":"Feature","properties":{"kind":"place","name":"Ramp"},"geometry":{"type":"Point","coordinates":[-103.15,44.92]}}]}"#,
        r#"{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"features":[{"type":"Feature","properties":{"kind":"county"},"geometry":{"type":"MultiPolygon","coordinates":[[[[-103,44],[-102,44],[-102,45],[-103,44]]]]}}]}"#,
    ])
}

pub(crate) fn page_form() -> Seeds {
    chosen(&[
        (
            0,
            "mission=flood\nair=-5C\nwater=34 F\ncrew=3\ntow=on\nplace=44.9,-103.2\nduration=4h\nvisibility=1 mi",
        ),
        (
            0,
            "metar=KRAP 281652Z 31014G32KT 10SM M05/M07 A2992\nas-of=2027-03-01 09:00",
        ),
        (
            1,
            "craft=4-1\npart=tube-1\nclass=leak\nseverity=major\nnote=hisses",
        ),
        (2, "craft=4-1\ntime=2h\nmeter.M1=113.6h\nwater=fresh"),
        (3, "craft=4-1\nfault=1\nmethod=patch"),
        (4, "craft=4-1\npart=tube-1\nfrom=foot-pump\nafter=3.0 psi"),
        (5, "shelf=S1\nitem=flare\ncount=3"),
        (6, "station=North Ford\ncrews=2\nuntil=18:00"),
        (7, "craft=4-1\nline=hull\nresult=passed"),
        (8, "craft=4-1\nfaults=1"),
        (9, "craft=4-1"),
        (10, "together=2"),
    ])
}

pub(crate) fn picture() -> Seeds {
    let mut seeds = Seeds::new();
    for (width, height) in [(8_u16, 8_u16), (40, 24), (1, 1)] {
        let dots: Vec<u8> = (0..u32::from(width) * u32::from(height) * 3)
            .map(|at| at.to_be_bytes()[3].wrapping_mul(37))
            .collect();
        let mut out = Vec::new();
        image::ImageEncoder::write_image(
            image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, 80),
            &dots,
            width.into(),
            height.into(),
            image::ExtendedColorType::Rgb8,
        )
        .expect("into memory");
        seeds.push(out);
    }
    // Beside the first: where it was taken, and which side is up (Exif 2.32, 4.6.6).
    let mut beside = b"Exif\0\0II*\0\x08\0\0\0\x02\0".to_vec();
    beside.extend(b"\x12\x01\x03\0\x01\0\0\0\x06\0\0\0");
    beside.extend(b"\x25\x88\x04\0\x01\0\0\0\x26\0\0\0\0\0\0\0");
    beside.extend(b"\x02\0\x01\0\x02\0\x02\0\0\0N\0\0\0\x02\0\x05\0\x03\0\0\0\x44\0\0\0\0\0\0\0");
    beside.extend([
        44, 0, 0, 0, 1, 0, 0, 0, 9, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0,
    ]);
    let length = u16::try_from(beside.len() + 2).unwrap_or(0).to_be_bytes();
    let (begin, rest) = seeds[0].split_at(2);
    let with = [begin, &[0xff, 0xe1], &length, &beside, rest].concat();
    seeds.push(with);
    seeds
}

pub(crate) fn reckoned() -> Seeds {
    texts(&[
        "pressure\n--gauge\n3.0 psi\n--at\n70 F\n--to\n40 F",
        "air\n--volume\n300 L\n--from\n0 psi\n--to\n3 psi",
        "cylinder\n--size\n6.8 L\n--gauge\n4500 psi",
        "distance\n44.9,-103.2\n44.95,-103.25",
        "due\n--last\n2026-03-01\n--every\n6 months",
        "hold\n--start\n3.0 psi\n--end\n2.9 psi\n--hours\n24",
        "load\n--persons\n6\n--crew\n3",
        "plate\n--length\n14 ft\n--beam\n6 ft",
        "night\n--place\n44.9,-103.2",
        "leak\n--readings\nFILE\n\nday,gauge,air\n0,3.0 psi,70 F\n7,2.9 psi,70 F\n14,2.8 psi,70 F\n21,2.7 psi,68 F\n",
        "trend\n--events\nFILE\n\nunit,time\nA,10\nA,20\nA,45\nA,50\nB,30\n",
    ])
}

pub(crate) fn settings_file() -> Seeds {
    texts(&[
        "county = \"county.example:7341\"\nsync = \"by hand\"\n",
        "places = \"places.csv\"\ncounty_id = \"00112233445566778899aabbccddeeff\"\ncounty_tls_key = \"0000000000000000000000000000000000000000000000000000000000000000\"\n",
    ])
}

pub(crate) fn signed_answer() -> Seeds {
    let mut county = county::county();
    let now = Moment(START + 3 * DAY);
    let mut questions = vec![Question::general(now, now)];
    questions.push(Question {
        craft: Some(sponson_readiness::ids::SubjectId::from_bytes(
            *CRAFT.as_bytes(),
        )),
        air_mc: Some(-5_000),
        ..Question::general(now, now)
    });
    let given = questions.iter().map(|question| {
        let answer = county.ask(question);
        let context = sponson_show::Context::default();
        answer::AnswerGiven {
            county_id: county::county_id().to_bytes(),
            key: county::key(Who::North).key().to_bytes(),
            utc_offset_min: -360,
            program: "test".to_owned(),
            answer: Some(sponson_link::answer::to_wire(&answer, &context)),
            ..Default::default()
        }
        .encode_to_vec()
    });
    given.collect()
}

pub(crate) fn weather_report() -> Seeds {
    let list = include_str!("../../../reference/weather-reports.csv");
    let mut seeds = column(list, 1);
    seeds.extend(texts(&[
        "KRAP 281652Z 31014G32KT 10SM M05/M07 A2992",
        "METAR EGLL 281650Z AUTO 24015KT 200V280 9999 -RA FEW012 09/06 Q0998=",
        "SPECI KXYZ 281653Z 00000KT M1/4SM FG VV001 M05/M05 A3001 RMK AO2 T10501050 $",
    ]));
    seeds
}
