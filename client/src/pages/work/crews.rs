//! The crews that this station can raise: `/crews`.

use std::sync::Arc;

use axum::extract::{Extension, Form, RawQuery, State};
use axum::response::Response;
use sponson_proto::answer::v1::Question;
use sponson_show::html::station::work::{CrewsFacts, crews_body};
use sponson_show::words;

use super::filled_in::{Failed, Filled, OF_THE_PAGE, not_shown, on_to, press};
use crate::commands::crews::{self, CrewsArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::{NotShown, Pages};
use crate::web::visit::Visit;

/// Shows the form, and what is said now.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let filled = Filled::asked(&pages, query.as_deref()).await;
    page(&pages, &visit, filled).await
}

/// Records the statement.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    match recorded(&pages, &member, &form).await {
        Ok(name) => on_to("/crews", &name),
        Err(failed) => page(&pages, &visit, Filled::refused(form, failed)).await,
    }
}

async fn recorded(pages: &Pages, member: &str, form: &[Pair]) -> Result<String, Failed> {
    let args: CrewsArgs = filled::read(&one_by_one(form), &OF_THE_PAGE)?;
    press(pages, member, form, async |session| {
        crews::run(&args, session).await.map(|_| ())
    })
    .await
}

/// Operators that stand in one field, with commas or blanks between, each by itself.
fn one_by_one(form: &[Pair]) -> Vec<Pair> {
    let mut all = Vec::new();
    for (name, value) in form {
        if name == "operator" {
            let numbers = value.split([',', ';', ' ']).filter(|it| !it.is_empty());
            all.extend(numbers.map(|number| (name.clone(), number.to_owned())));
        } else {
            all.push((name.clone(), value.clone()));
        }
    }
    all
}

async fn page(pages: &Pages, visit: &Visit, filled: Filled) -> Response {
    match now(pages).await {
        Ok((station, now)) => {
            filled
                .page((pages, visit), ("/crews", "Crews"), |page| {
                    let facts = CrewsFacts {
                        station: &station,
                        now: now.as_deref(),
                    };
                    crews_body(&facts, page)
                })
                .await
        }
        Err(why) => not_shown(pages, visit, why),
    }
}

/// The station's name, and what it says now.
async fn now(pages: &Pages) -> Result<(String, Option<String>), NotShown> {
    let about = pages.door.about().await?;
    let told = pages.door.ask(&Question::default()).await?;
    let mut stations = told.answer.stations.iter();
    let own = stations.find(|one| one.id.as_bytes().as_slice() == about.station);
    let crews = own.and_then(|one| one.crews.as_ref());
    let said = crews.map(|crews| words::crews(crews, &told.ctx));
    Ok((about.station_name, said))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operators_of_one_field_are_given_one_by_one() {
        let form = [("operator".to_owned(), "214, 220;7".to_owned())];
        let all: Vec<String> = one_by_one(&form).into_iter().map(|it| it.1).collect();
        assert_eq!(all, ["214", "220", "7"]);
    }
}
