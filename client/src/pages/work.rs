//! Pages of what is done to a craft beside its check: use, faults, what is due, air, out of service,
//! moves, lending, crews, fitting out. Each fills in a command of the station, and records as it does.

use super::routes::{Route, both, read};
use crate::web::Gate;
use axum::routing::get;

mod air;
mod crews;
mod due;
mod fault;
mod filled_in;
mod fit_out;
mod lend;
mod mend;
mod moves;
mod on_craft;
pub(super) mod pressed;
pub(super) mod script;
mod service;
mod r#use;

/// Their routes.
pub(super) fn routes() -> Vec<Route> {
    vec![
        both(
            "/use/{id}",
            Gate::Records,
            get(r#use::show).post(r#use::keep),
        ),
        both(
            "/fault/{id}",
            Gate::Records,
            get(fault::show).post(fault::keep),
        ),
        both(
            "/repair/{id}",
            Gate::Records,
            get(mend::show_repair).post(mend::keep_repair),
        ),
        both(
            "/sign-off/{id}",
            Gate::Records,
            get(mend::show_sign_off).post(mend::keep_sign_off),
        ),
        both(
            "/inspect/{id}",
            Gate::Records,
            get(due::show).post(due::keep),
        ),
        both("/air/{id}", Gate::Records, get(air::show).post(air::keep)),
        both(
            "/service/{id}",
            Gate::Records,
            get(service::show).post(service::keep),
        ),
        read("/fit-out/{id}", Gate::Records, get(fit_out::show)),
        both("/move", Gate::Records, get(moves::show).post(moves::keep)),
        both("/lend", Gate::Records, get(lend::show).post(lend::keep)),
        both("/crews", Gate::Records, get(crews::show).post(crews::keep)),
        read(&script::place().path, Gate::Open, get(script::serve)),
    ]
}
