//! The engine's rules, one small scenario for each, and laws that hold for all.

#[path = "engine_rules/scene.rs"]
mod scene;

#[path = "engine_rules/aboard.rs"]
mod aboard;
#[path = "engine_rules/after_use.rs"]
mod after_use;
#[path = "engine_rules/ahead.rs"]
mod ahead;
#[path = "engine_rules/air.rs"]
mod air;
#[path = "engine_rules/apart.rs"]
mod apart;
#[path = "engine_rules/asked_back.rs"]
mod asked_back;
#[path = "engine_rules/callout.rs"]
mod callout;
#[path = "engine_rules/chambers.rs"]
mod chambers;
#[path = "engine_rules/declared.rs"]
mod declared;
#[path = "engine_rules/evidence.rs"]
mod evidence;
#[path = "engine_rules/faults.rs"]
mod faults;
#[path = "engine_rules/fuel.rs"]
mod fuel;
#[path = "engine_rules/gear_moves.rs"]
mod gear_moves;
#[path = "engine_rules/holds.rs"]
mod holds;
#[path = "engine_rules/in_parts.rs"]
mod in_parts;
#[path = "engine_rules/in_service.rs"]
mod in_service;
#[path = "engine_rules/inspections.rs"]
mod inspections;
#[path = "engine_rules/kit.rs"]
mod kit;
#[path = "engine_rules/kit_moves.rs"]
mod kit_moves;
#[path = "engine_rules/laws.rs"]
mod laws;
#[path = "engine_rules/laws_carried.rs"]
mod laws_carried;
#[path = "engine_rules/leaks.rs"]
mod leaks;
#[path = "engine_rules/load.rs"]
mod load;
#[path = "engine_rules/of_no_use.rs"]
mod of_no_use;
#[path = "engine_rules/people.rs"]
mod people;
#[path = "engine_rules/pressure.rs"]
mod pressure;
#[path = "engine_rules/pressure_between.rs"]
mod pressure_between;
#[path = "engine_rules/questions.rs"]
mod questions;
#[path = "engine_rules/raft.rs"]
mod raft;
#[path = "engine_rules/reached.rs"]
mod reached;
#[path = "engine_rules/sealed.rs"]
mod sealed;
#[path = "engine_rules/signals.rs"]
mod signals;
#[path = "engine_rules/spares.rs"]
mod spares;
#[path = "engine_rules/together.rs"]
mod together;
#[path = "engine_rules/weather.rs"]
mod weather;
#[path = "engine_rules/without.rs"]
mod without;
#[path = "engine_rules/worked.rs"]
mod worked;
